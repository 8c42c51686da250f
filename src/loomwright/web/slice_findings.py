"""The findings as the pages show them: what is, where, what to do, and what a mend would write."""

from loomwright.checks.catalogue import CATALOGUE, NEVER
from loomwright.edits import Path
from loomwright.findings import Finding
from loomwright.job import WorkedJob
from loomwright.jobfile.edit_log import edits_as_json

Plain = dict[str, object]
_SCREENS = {
    "device": "devices",
    "tap": "devices",
    "face": "devices",
    "circuit": "circuits",
    "fuse": "circuits",
    "cable": "circuits",
    "spare": "circuits",
    "rope": "rope",
    "section": "rope",
    "build": "rope",
    "exit": "rope",
    "passes": "run",
    "throttle": "run",
    "area": "rope",
    "loom": "rope",
    "accept": "findings",
}


def findings_slice(done: WorkedJob) -> list[Plain]:
    """Return all findings, faults first."""
    return [finding_view(one) for one in done.findings]


def finding_view(one: Finding) -> Plain:
    """Return a finding for a page.

    Args:
        one: the finding
    """
    known = CATALOGUE.get(one.code)
    return {
        "key": one.key,
        "code": one.code,
        "title": known.title if known else one.code,
        "severity": str(one.severity),
        "place": one.place.words,
        "path": list(one.place.path),
        "what_is": one.what_is,
        "should": one.should,
        "remedy": one.remedy,
        "sheets": list(one.sheets),
        "group": one.group,
        "mends": edits_as_json(one.mends),
        "accepted": one.accepted,
        "may_accept": one.code not in NEVER,
        "screen": screen_of(one.place.path),
        "lit": lit_of(one.place.path),
    }


def screen_of(path: Path) -> str:
    """Return the screen on which a key path is entered; "" = none of its own."""
    return _SCREENS.get(str(path[0]), "") if path else ""


def lit_of(path: Path) -> Plain | None:
    """Return what a key path speaks of, to be lit in every view; None = the job as a whole."""
    if len(path) < 2:
        return None
    head, name = str(path[0]), str(path[1])
    if head == "device":
        if "cavity" in path[2:-1]:
            return {"kind": "cavity", "key": f"{_end(path)}:{path[path.index('cavity') + 1]}"}
        return {"kind": "end" if len(path) > 3 and path[2] == "connector" else "device", "key": _end(path)}
    kinds = {
        "tap": "device",
        "circuit": "circuit",
        "passes": "section",
        "section": "section",
        "build": "section",
    }
    if head == "exit":
        return {"kind": "point", "key": name}
    return {"kind": kinds[head], "key": name} if head in kinds else None


def _end(path: Path) -> str:
    split = len(path) > 3 and path[2] == "connector"
    return f"{path[1]}.{path[3]}" if split else str(path[1])
