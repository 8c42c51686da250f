"""stock.toml: the shelf comes in, faults are cautions about the parts list alone."""

from loomwright.findings import Severity
from loomwright.jobfile.read import read_job
from loomwright.jobfile.read_stock import Stock, StockItem, read_stock

WIRE = '[[item]]\nkind = "wire"\nname = "thin-wall XLPE mm2"\nsize = "1.0"\ncolour = "RD"\nhave = 25\n'


def test_the_shelf_comes_in():
    stock, findings = read_stock("format = 1\n" + WIRE + "[minutes]\nper_splice = 6\n")
    assert findings == ()
    red = StockItem("wire", "thin-wall XLPE mm2", "1.0", "RD", 25.0, None, "")
    assert stock == Stock((red,), (("per_splice", 6.0),))


def test_faults_say_the_line_and_stamp_no_other_sheet():
    stock, findings = read_stock(
        WIRE + WIRE.replace("25", '"some"') + '[[item]]\nkind = "rope"\n[x]\ny = =\n'
    )
    assert [one.have for one in stock.items] == [25.0, None]
    assert {one.code for one in findings} == {"FILE-10"}
    assert {one.severity for one in findings} == {Severity.CAUTION}
    assert {one.sheets for one in findings} == {("parts",)}
    assert "stock.toml line 12" in {one.place.words for one in findings}


def test_it_is_read_with_the_job(tmp_path):
    (tmp_path / "job.toml").write_text('[job]\ntitle = "t"\n')
    assert read_job(tmp_path).stock == Stock()
    (tmp_path / "stock.toml").write_text(WIRE + "colr = 1\n")
    read = read_job(tmp_path)
    assert len(read.stock.items) == 1
    assert [one.place.words for one in read.findings] == ["stock.toml line 7"]
