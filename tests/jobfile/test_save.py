import os
import sys
import threading

import pytest

from loomwright.errors import ChangedMeanwhile, LoomwrightError, Unreadable
from loomwright.jobfile import save as saving
from loomwright.jobfile.save import NEW, locked, read, save
from loomwright.jobfile.toml_text import read_text


class PowerCut(BaseException):
    """Stands for the machine going off: nothing of the program catches it."""


def test_a_saved_text_reads_back_and_its_digest_is_the_documents(tmp_path):
    file = tmp_path / "job.toml"
    digest = save(file, 'a = "ü"\n', NEW)
    assert read(file).text == 'a = "ü"\n'
    assert read(file).digest == digest == read_text(read(file).text).digest


def test_a_file_changed_meanwhile_is_not_written(tmp_path):
    file = tmp_path / "job.toml"
    digest = save(file, "a = 1\n", NEW)
    file.write_text("a = 2\n")
    with pytest.raises(ChangedMeanwhile):
        save(file, "a = 3\n", digest)
    assert file.read_text() == "a = 2\n"


@pytest.mark.parametrize(("there", "based_on"), [(None, "0" * 64), ("a = 1\n", NEW)])
def test_a_file_gone_or_come_meanwhile_counts_as_changed(tmp_path, there, based_on):
    file = tmp_path / "job.toml"
    if there:
        file.write_text(there)
    with pytest.raises(ChangedMeanwhile):
        save(file, "a = 3\n", based_on)


@pytest.mark.parametrize(
    ("before", "text", "after"),
    [
        (b"a = 1\r\nb = 2\r\n", "a = 1\nb = 3\n", b"a = 1\r\nb = 3\r\n"),
        (b"a = 1\nb = 2\n", "a = 1\r\nb = 3\r\n", b"a = 1\nb = 3\n"),
        (b"a = 1\r\nb = 2\n", "a = 1\r\nb = 3\n", b"a = 1\r\nb = 3\n"),
        (b"\xef\xbb\xbfa = 1\n", "a = 2\n", b"\xef\xbb\xbfa = 2\n"),
        (b"\xef\xbb\xbfa = 1\n", "\ufeffa = 2\n", b"\xef\xbb\xbfa = 2\n"),
    ],
)
def test_line_endings_and_byte_order_mark_stay(tmp_path, before, text, after):
    file = tmp_path / "job.toml"
    file.write_bytes(before)
    digest = save(file, text, read(file).digest)
    assert file.read_bytes() == after
    assert read(file).digest == digest


@pytest.mark.parametrize("step", ["mkstemp", "fsync", "replace"])
def test_a_power_cut_leaves_the_old_text(tmp_path, monkeypatch, step):
    file = tmp_path / "job.toml"
    digest = save(file, "a = 1\n", NEW)

    def cut(*_args, **_more):
        raise PowerCut

    with monkeypatch.context() as broken:
        broken.setattr(saving.tempfile if step == "mkstemp" else saving.os, step, cut)
        with pytest.raises(PowerCut):
            save(file, "a = 2\n", digest)
    assert file.read_text() == "a = 1\n"
    save(file, "a = 3\n", digest)
    assert sorted(one.name for one in tmp_path.iterdir()) == [".job.toml.lock", "job.toml"]


def test_a_full_disk_is_told_in_words(tmp_path, monkeypatch):
    file = tmp_path / "job.toml"
    digest = save(file, "a = 1\n", NEW)

    def full(*_args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(saving.os, "replace", full)
    with pytest.raises(LoomwrightError, match=r"No space left on device\. The old text is still there"):
        save(file, "a = 2\n", digest)
    assert sorted(one.name for one in tmp_path.iterdir()) == [".job.toml.lock", "job.toml"]


def test_the_mode_of_the_file_stays(tmp_path):
    file = tmp_path / "job.toml"
    digest = save(file, "a = 1\n", NEW)
    os.chmod(file, 0o640)
    save(file, "a = 2\n", digest)
    assert file.stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize(
    ("raw", "line", "words"),
    [
        (b'a = 1\nb = "\xfcber"\n', 2, "Column 6 holds the byte 0xFC"),
        ("a = 1\n".encode("utf-16"), 1, "UTF-16"),
    ],
)
def test_a_file_that_is_not_utf_8_is_told_with_its_line(tmp_path, raw, line, words):
    file = tmp_path / "job.toml"
    file.write_bytes(raw)
    with pytest.raises(Unreadable, match=words) as caught:
        read(file)
    assert caught.value.line == line


def test_a_missing_file_and_a_folder_are_told_in_words(tmp_path):
    with pytest.raises(Unreadable, match="no such file"):
        read(tmp_path / "job.toml")
    with pytest.raises(Unreadable, match="can't be opened"):
        read(tmp_path)
    with pytest.raises(LoomwrightError, match="can't be written to"):
        save(tmp_path / "nowhere" / "job.toml", "", NEW)


def test_a_writer_that_does_not_finish_is_told_in_words(tmp_path):
    file = tmp_path / "job.toml"
    with locked(file), pytest.raises(LoomwrightError, match="another window"), locked(file, wait_s=0.05):
        pass


@pytest.mark.skipif(sys.platform == "win32", reason="locks by flock")
def test_a_folder_that_knows_no_locks_can_be_written_to_all_the_same(tmp_path, monkeypatch):
    def unknown(*_args):
        raise OSError(37, "No locks available")

    monkeypatch.setattr(saving.fcntl, "flock", unknown)
    save(tmp_path / "job.toml", "a = 1\n", NEW)
    assert read(tmp_path / "job.toml").text == "a = 1\n"


def test_of_many_writers_none_loses_a_change(tmp_path):
    file = tmp_path / "job.toml"
    save(file, "", NEW)

    def write(name):
        for number in range(5):
            while True:
                there = read(file)
                try:
                    save(file, there.text + f"{name}{number} = 1\n", there.digest)
                except ChangedMeanwhile:
                    continue
                break

    writers = [threading.Thread(target=write, args=(name,)) for name in "abc"]
    for one in writers:
        one.start()
    for one in writers:
        one.join()
    assert len(read_text(read(file).text).values) == 15
