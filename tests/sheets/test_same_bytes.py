"""Same input, same bytes: every writer in two processes with different hash seeds."""

import os
import subprocess
import sys
from pathlib import Path

WRITES = """
import hashlib
from loomwright.sheets.csv_out import table_csv
from loomwright.sheets.dxf import dxf_text
from loomwright.sheets.pdf_drawing import drawing_pdf
from loomwright.sheets.svg import svg_text
from loomwright.sheets.tile_pages import tiles_pdf
from loomwright.sheets.tiles import tile_plan
from loomwright.sheets.typeset import pack_pdf
from loomwright.sheets.xlsx import pack_xlsx
from sheets.sample_drawings import HEAD, board, every_block, every_mark, wire_table
files = {
    "csv": table_csv(wire_table(9)), "dxf": dxf_text(every_mark()).encode(), "pdf": drawing_pdf(every_mark()),
    "svg": svg_text(every_mark()).encode(), "tiles": tiles_pdf(board(), tile_plan(board())),
    "pack": pack_pdf(HEAD, every_block()), "xlsx": pack_xlsx(HEAD, every_block()),
}
for name, data in files.items():
    print(name, hashlib.sha256(data).hexdigest())
"""


def digests(seed: str) -> str:
    root = Path(__file__).parents[1]
    env = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(root), "TZ": f"UTC+{seed}"}
    done = subprocess.run([sys.executable, "-c", WRITES], env=env, capture_output=True, text=True, check=True)
    return done.stdout


def test_two_processes_write_the_same_bytes():
    first, *others = (digests(seed) for seed in ("1", "2", "4"))
    assert first.count("\n") == 7
    assert others == [first, first]
