"""Same job, same bytes: two processes that hash words differently give the same findings and kept.toml."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from whole.made_jobs import made_job

HERE = Path(__file__).parent
WORK = """
import sys
from pathlib import Path
from loomwright.cli.report import findings_json
from loomwright.job import keep, work_out
for folder in map(Path, sys.argv[1:]):
    done = work_out(folder)
    keep(done)
    print(findings_json(done))
    print(done.worked)
    again = work_out(folder)
    keep(again)
    print(again.worked)
"""


def worked_with(hash_seed: str, folders: list[Path], texts: list[str]) -> tuple[str, list[bytes]]:
    for folder, text in zip(folders, texts, strict=True):
        folder.mkdir(parents=True)
        (folder / "job.toml").write_text(text, encoding="utf-8")
    told = subprocess.run(
        [sys.executable, "-c", WORK, *map(str, folders)],
        env=os.environ | {"PYTHONHASHSEED": hash_seed},
        capture_output=True,
        check=True,
        text=True,
    )
    return told.stdout, [(folder / "kept.toml").read_bytes() for folder in folders]


def test_two_processes_with_other_hash_seeds_give_the_same(tmp_path: Path) -> None:
    texts = [(HERE / "every_key.toml").read_text(encoding="utf-8")]
    texts += [made_job(seed, most_devices=9).text for seed in range(500, 520)]
    runs = [
        worked_with(seed, [tmp_path / seed / str(n) for n in range(len(texts))], texts)
        for seed in ("1", "20261")
    ]
    (first, first_kept), (second, second_kept) = runs
    assert first == second
    assert first_kept == second_kept
    assert first.count('"findings"') == len(texts)


@pytest.mark.parametrize("name", ["hillclimb"])
def test_a_whole_demo_gives_the_same(tmp_path: Path, name: str) -> None:
    from loomwright import demos

    text = (Path(demos.__file__).parent / name / "job.toml").read_text(encoding="utf-8")
    runs = [worked_with(seed, [tmp_path / seed], [text]) for seed in ("7", "4242")]
    assert runs[0] == runs[1]
