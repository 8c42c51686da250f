"""Keys that stand twice one below the other: mostly one lost table head, so they are told as one."""

from collections.abc import Iterable
from typing import Final

from loomwright.jobfile.toml_spans import TextProblem
from loomwright.jobfile.toml_write import path_words

DOUBLED: Final = "Delete one of the two"
NEAR_LINES: Final = 3  # remarks and a lost line may stand between; ours


def one_for_a_lost_head(problems: Iterable[TextProblem]) -> tuple[TextProblem, ...]:
    """Return the problems of a text, runs of doubled keys of one table made one.

    Args:
        problems: in the order of the text
    """
    runs: list[list[TextProblem]] = []
    for one in problems:
        last = runs[-1][-1] if runs else None
        if last is not None and _goes_on(last, one):
            runs[-1].append(one)
        else:
            runs.append([one])
    return tuple(run[0] if len(run) == 1 else _as_one(run) for run in runs)


def _goes_on(last: TextProblem, one: TextProblem) -> bool:
    both = last.remedy.startswith(DOUBLED) and one.remedy.startswith(DOUBLED)
    below = one.path[:-1] == last.path[:-1] and len(one.path) > 1 and one.words.startswith("The key ")
    return both and below and last.words.startswith("The key ") and one.line - last.line <= NEAR_LINES


def _as_one(run: list[TextProblem]) -> TextProblem:
    first, last, table = run[0], run[-1], run[0].path[:-1]
    keys = list(dict.fromkeys(str(one.path[-1]) for one in run))
    named = f"{', '.join(keys[:-1])} and {keys[-1]}" if len(keys) > 1 else keys[0]
    words = (
        f"In lines {first.line} to {last.line} the keys {named} of {path_words(table)} stand a second time; "
        "the first ones are kept."
    )
    head = path_words((*table[:-1], "NAME"))
    remedy = f"{DOUBLED}, or write the head of the table they belong to, [{head}], above line {first.line}."
    return first._replace(words=words, remedy=remedy)
