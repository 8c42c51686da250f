"""How fast a job file is read and edited, beside tomllib, the standard reader (values only, no places).

    python benchmarks/job_text.py [FILE.toml ...] [--json]

Without files it makes up jobs of several sizes (invented data). Every row is the best of several runs.
"""

import argparse
import json
import time
import tomllib
from collections.abc import Callable
from pathlib import Path

from loomwright.edits import Edit, Verb
from loomwright.jobfile.edit_text import apply
from loomwright.jobfile.toml_text import TomlDocument, read_text

RUNS = 7


def made_up(devices: int) -> str:
    """Return an invented job: devices of six cavities each, and a circuit table for every other wire."""
    parts = ['format = 1\n\n[job]\ntitle = "Made up for measuring"\nvolts = 13.8\n']
    for number in range(devices):
        cavities = "".join(f'cavity."{at}" = "circuit {number} {at}"\n' for at in range(1, 7))
        parts.append(
            f'\n[device.D{number}]  # invented\nis = "injector, high impedance"\narea = "block"\n'
            f"settled = true\nat = [1, 2.5, 3]\n{cavities}"
        )
        parts += [f'\n[circuit."circuit {number} {at}"]\nfuse = "F{at}"\namps = 2.5\n' for at in (1, 3, 5)]
    return "".join(parts)


def best_ms(work: Callable[[], object]) -> float:
    best = float("inf")
    for _ in range(RUNS):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return round(best * 1000, 3)


def single_keys(document: TomlDocument) -> list[Edit]:
    """Return an edit for every tenth key that holds a single value."""
    pairs = [one for one in document.statements if one.path and one.value < one.end]
    return [Edit(Verb.SET, one.path, "changed") for one in pairs[::10]]


def row(name: str, text: str) -> dict[str, object]:
    document = read_text(text)
    edits = single_keys(document)
    head = text.index("\n[") + 1 if "\n[" in text else 0
    faulty = text[:head] + text[head:].replace(' = "', " = ", 1)
    return {
        "case": name,
        "lines": text.count("\n"),
        "read_ms": best_ms(lambda: read_text(text)),
        "read_faulty_ms": best_ms(lambda: read_text(faulty)),
        "tomllib_ms": best_ms(lambda: tomllib.loads(text)),
        "edit_one_ms": best_ms(lambda: apply(document, edits[:1])),
        "edits": len(edits),
        "edit_all_ms": best_ms(lambda: apply(document, edits)),
    }


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("files", nargs="*", type=Path, help="job files to measure instead of made-up ones")
    options.add_argument("--json", action="store_true", help="print one JSON object: rows, summary")
    given = options.parse_args()
    cases = [(str(file), file.read_text(encoding="utf-8")) for file in given.files]
    rows = [row(*case) for case in cases or [(f"{size} devices", made_up(size)) for size in (30, 60, 700)]]
    summary = {
        "slowest_read_us_per_line": max(
            round(1000 * float(str(one["read_ms"])) / int(str(one["lines"])), 2) for one in rows
        )
    }
    if given.json:
        print(json.dumps({"rows": rows, "summary": summary}))
        return
    for one in rows:
        print("  ".join(f"{key} {value}" for key, value in one.items()))
    print(summary)


if __name__ == "__main__":
    main()
