"""Issue a revision from the desk: numbers for good, its name into the job, a frozen copy with its pack."""

from loomwright import VERSION
from loomwright.checks.run import stamped_sheets
from loomwright.cli.revisions import freeze
from loomwright.edits import Edit, Verb
from loomwright.errors import LoomwrightError
from loomwright.records.issue import Issue, check_free
from loomwright.web.desk import Desk


def issue(desk: Desk, revision: str, with_faults: bool, tile_paper: str, when: str) -> dict[str, object]:
    """Issue a revision and return what to say about it.

    Args:
        desk: the job
        revision: its name, "" = the one the job file has
        with_faults: issue in spite of faults nobody accepted
        tile_paper: paper of the board's tiles
        when: date to print, YYYY-MM-DD
    Raises:
        LoomwrightError: the name can't be used, or there are faults.
    """
    state = desk.state()
    name = revision or state.done.worked.job.revision
    check_free(desk.folder, name)
    if state.done.faults and not with_faults:
        many = f"{len(state.done.faults)} {'fault' if len(state.done.faults) == 1 else 'faults'}"
        raise LoomwrightError(f"{many} nobody accepted; nothing is issued. Mend them, or tick the box.")
    if state.done.worked.job.revision != name:
        edit = Edit(Verb.SET, ("job", "revision"), name)
        desk.edit(state.digest, (edit,), f"issued as revision {name}")
    state = desk.keep(desk.state())
    done = state.done
    stamped = tuple(sorted(stamped_sheets(done.findings)))
    freeze(done, Issue(0, name, when, done.digest, VERSION, stamped), tile_paper)
    return {
        "revision": name,
        "digest": state.digest,
        "printed_digest": done.digest,
        "not_for_build": list(stamped),
    }
