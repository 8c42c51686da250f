"""Commands and exit codes: 0 sound, 1 faults, 2 not readable or not understood."""

import os
import sys
from datetime import date
from pathlib import Path
from typing import Annotated, Final, Literal

from cyclopts import App, CycloptsError, Parameter

from loomwright import VERSION
from loomwright.errors import LoomwrightError

SOUND: Final = 0
FAULTS: Final = 1
NOT_READABLE: Final = 2

Json = Annotated[bool, Parameter(name="--json", negative="", help="Print one JSON object instead of words.")]
Folder = Annotated[Path, Parameter(help="The job's folder, or its job.toml.")]
TilePaper = Annotated[Literal["A4", "A3", "Letter", "Tabloid"], Parameter(help="Paper of the board's tiles.")]

app = App(
    name="loomwright",
    version=VERSION,
    help_format="plaintext",
    help="From a rope mock-up to a checked engine loom and the papers to build it from.",
    help_epilogue="Exit codes: 0 sound, 1 faults, 2 not readable. Numbers are a design aid; check them.",
)


def main(words: list[str] | None = None) -> int:
    """Run one command and return its exit code; never ends in a traceback for anything a builder can do."""
    try:
        done = app(words, exit_on_error=False, print_error=True, result_action="return_value")
        return done if isinstance(done, int) else SOUND
    except CycloptsError:
        return NOT_READABLE
    except LoomwrightError as fault:
        print(fault, file=sys.stderr)
        return NOT_READABLE
    except BrokenPipeError:  # the reader of our words is gone, as with "| head"
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return SOUND
    except OSError as fault:
        print(f"{fault.filename or 'A file'} can't be used: {fault.strerror}.", file=sys.stderr)
        return NOT_READABLE
    except KeyboardInterrupt:
        return 130


@app.command
def check(folder: Folder = Path(), *, json: Json = False) -> int:
    """Work a job out and say what is wrong with it."""
    from loomwright.cli.progress import working
    from loomwright.cli.report import findings_json, print_findings
    from loomwright.job import work_out

    with working("Working out the loom", quiet=json):
        done = work_out(folder)
    if json:
        print(findings_json(done))
    else:
        print_findings(done)
    return FAULTS if done.faults else SOUND


@app.command
def pack(
    folder: Folder = Path(),
    *,
    out: Annotated[
        Path | None, Parameter(help="Where to write; the job's own folder pack/ if left out.")
    ] = None,
    paper: Annotated[
        Literal["A4", "Letter", ""], Parameter(help="Paper of the sheets; else the job's.")
    ] = "",
    tile_paper: TilePaper = "A4",
    measured: Annotated[
        tuple[float, float] | None,
        Parameter(
            negative="", help="What the printed 100 mm bars measure, across and up, to correct your printer."
        ),
    ] = None,
    printer: Annotated[
        str, Parameter(help="Name of your printer; what is measured is kept for it in printers.toml.")
    ] = "",
    instrument: Annotated[
        Literal["beeper", "hand meter", "4-wire", ""],
        Parameter(help="What this printing's test sheet is for; else the shop's."),
    ] = "",
    issued: Annotated[str, Parameter(help="Date to print, YYYY-MM-DD; today if left out.")] = "",
    json: Json = False,
) -> int:
    """Write every paper of the job: build pack, forming board at 1:1, tables."""
    from loomwright.cli.papers import write_papers

    day = issued or date.today().isoformat()
    return write_papers(folder, out, paper or "", tile_paper, measured, day, json, printer, instrument)


@app.command
def issue(
    folder: Folder = Path(),
    *,
    rev: Annotated[str, Parameter(help="Name of the revision; the job's own if left out.")] = "",
    when: Annotated[str, Parameter(help="Date to print, YYYY-MM-DD; today if left out.")] = "",
    with_faults: Annotated[
        bool, Parameter(negative="", help="Issue in spite of faults; sheets say NOT FOR BUILD.")
    ] = False,
    tile_paper: TilePaper = "A4",
) -> int:
    """Issue a revision: a frozen copy of the job and its pack, sealed by digests."""
    from loomwright.cli.revisions import issue_revision

    return issue_revision(folder, rev, when or date.today().isoformat(), with_faults, tile_paper)


@app.command
def issued(folder: Folder = Path(), *, json: Json = False) -> int:
    """List the issued revisions and say whether they are untouched."""
    from loomwright.cli.revisions import list_issued

    return list_issued(folder, json)


@app.command
def change(
    folder: Folder = Path(),
    *,
    since: Annotated[
        str, Parameter(help="An issued revision, or another job's folder; the last issue if left out.")
    ] = "",
    print_changed: Annotated[bool, Parameter(negative="", help="Write the papers to exchange, too.")] = False,
    when: Annotated[str, Parameter(help="Date to print, YYYY-MM-DD; today if left out.")] = "",
    tile_paper: TilePaper = "A4",
    json: Json = False,
) -> int:
    """Say what changed since an issued revision, wire by wire, and write the change sheet."""
    from loomwright.cli.revisions import tell_change

    day = when or date.today().isoformat()
    return tell_change(folder, since, print_changed, day, tile_paper, json)


@app.command
def handover(
    folder: Folder = Path(),
    *,
    out: Annotated[
        Path | None, Parameter(help="Where to write; the job's own folder handover/ if left out.")
    ] = None,
    when: Annotated[str, Parameter(help="Date to print, YYYY-MM-DD; today if left out.")] = "",
) -> int:
    """Write the handover file: as-built values, test record and photos, as PDF and as one page of HTML."""
    from loomwright.cli.handover import write_handover

    return write_handover(folder, out, when or date.today().isoformat())


@app.command
def early(
    folder: Folder = Path(),
    *,
    counts: Annotated[
        tuple[str, ...],
        Parameter(
            negative="",
            consume_multiple=True,
            help="What is known: cylinders=4 injection=batch throttle=cable sensors=14 ... as in scope.toml.",
        ),
    ] = (),
    out: Annotated[
        Path | None, Parameter(help="Where to write; the job's own folder early/ if left out.")
    ] = None,
    paper: Annotated[
        Literal["A4", "Letter", ""], Parameter(help="Paper of the sheets; else the job's.")
    ] = "",
    measured: Annotated[
        tuple[float, float] | None,
        Parameter(
            negative="", help="What the printed 100 mm bars measure, across and up, to correct your printer."
        ),
    ] = None,
    issued: Annotated[str, Parameter(help="Date to print, YYYY-MM-DD; today if left out.")] = "",
    json: Json = False,
) -> int:
    """Write what the data allow before the rope: scope and hours, order list, rope flags, measuring form."""
    from loomwright.cli.early import write_early_papers

    day = issued or date.today().isoformat()
    return write_early_papers(folder, out, counts, paper or "", measured, day, json)


@app.command
def new(
    folder: Path,
    *,
    starter: Annotated[str, Parameter(help="four-cylinder, v8 or bare.")] = "bare",
) -> int:
    """Start a job folder from a commented starter."""
    from loomwright.cli.begin import begin

    return begin(folder, starter)


@app.command
def show(folder: Folder = Path(), *, json: Json = False) -> int:
    """Show the loom tree with sizes."""
    from loomwright.cli.tree_view import print_trees, trees_json
    from loomwright.job import work_out

    done = work_out(folder)
    if json:
        print(trees_json(done))
    else:
        print_trees(done)
    return FAULTS if done.faults else SOUND


@app.command
def explain(code: str, *, json: Json = False) -> int:
    """Explain a finding's code: what it means, why it matters, what to do."""
    from loomwright.cli.explain import explain_code

    return explain_code(code, json)


@app.command
def stock(kind: str = "", name: str = "", *, json: Json = False) -> int:
    """List what the library knows: wires, cables, kinds, contacts, faces, sleeves, covers, splices, fuses."""
    from loomwright.cli.stock import list_stock

    return list_stock(kind, name, json)


@app.command(name="take-in")
def take_in(
    table: Annotated[
        Path, Parameter(help="CSV or XLSX: devices and cavities, a pin list, or rope readings.")
    ],
    folder: Folder = Path(),
    *,
    device: Annotated[str, Parameter(help="The controller or plug a pin list belongs to, e.g. ECU.A.")] = "",
    rope: Annotated[
        bool, Parameter(negative="", help="The table is a measuring form or rope readings.")
    ] = False,
    write: Annotated[
        bool, Parameter(negative="", help="Carry the changes out; else they are only shown.")
    ] = False,
) -> int:
    """Show what a table would change in the job, and carry it out when told to."""
    from loomwright.cli.taking import take_table_in

    return take_table_in(table, folder, device, rope, write)


@app.command
def plan(
    folder: Folder = Path(),
    *,
    exact: Annotated[int, Parameter(help="How many promising alternatives to work out exactly.")] = 20,
    apply: Annotated[str, Parameter(help="Number or name to take; fewer:3 = a row of --fewer.")] = "",
    reason: Annotated[str, Parameter(help="Why it is taken; stands on the plan sheet.")] = "",
    compare: Annotated[
        bool, Parameter(negative="", help="Price also one branch point in all, and one at every device.")
    ] = False,
    fewer: Annotated[bool, Parameter(negative="", help="Price ever fewer branch points.")] = False,
    map: Annotated[
        str, Parameter(help="Plan from this map of the job, or from one drawn now: rope, rope:LOOM.")
    ] = "",
    draw: Annotated[bool, Parameter(negative="", help="Write the map drawn from the rope.")] = False,
    seconds: Annotated[float, Parameter(help="Time to plan from a map.")] = 10.0,
    plot: Annotated[Path | None, Parameter(help="File for a plot over branch points, SVG.")] = None,
    json: Json = False,
) -> int:
    """Say what each branch point costs, and what could be built instead at what price."""
    if map:
        from loomwright.cli.plan_map import Asked, plan_map

        which = int(apply) if apply.isdigit() else 0
        return plan_map(folder, Asked(map, seconds, which, reason, draw, plot, json))
    from loomwright.cli.plan import plan as plan_tree

    return plan_tree(folder, exact, apply, reason, compare, fewer, json)


@app.command
def doubt(
    folder: Folder = Path(),
    *,
    draws: Annotated[int, Parameter(help="Measurements drawn.")] = 100_000,
    seed: Annotated[int, Parameter(help="Another seed draws others.")] = 0,
    every: Annotated[bool, Parameter(negative="", help="List all ends.")] = False,
    json: Json = False,
) -> int:
    """Say how likely each end comes short, the trim it needs, and how far off a branch point may sit."""
    from loomwright.cli.doubt import doubt as draw

    return draw(folder, draws, seed, every, json)


@app.command
def undo(folder: Folder = Path()) -> int:
    """Take the last edit of the job back."""
    from loomwright.cli.taking import undo_last

    return undo_last(folder)


@app.command(name="open")
def open_(
    folder: Annotated[Path, Parameter(help="A job's folder, or a folder of jobs.")] = Path("jobs"),
    *,
    port: Annotated[int | None, Parameter(help="Port; else the usual one or the next that is free.")] = None,
    browser: Annotated[
        bool, Parameter(name="--browser", negative="--no-browser", help="Show it in the browser.")
    ] = True,
    share: Annotated[
        bool, Parameter(negative="", help="Let bench devices in the local network in, under a pass phrase.")
    ] = False,
    new_phrase: Annotated[
        bool, Parameter(negative="", help="Make a new pass phrase; every bench device logs in again.")
    ] = False,
) -> int:
    """Open the desk: enter, see, decide and print in the browser."""
    from loomwright.cli.open import open_desk

    return open_desk(folder, port, browser, share, new_phrase)


@app.command
def demo(
    out: Annotated[Path, Parameter(help="Where to put the demo job and its pack.")] = Path("out"),
    *,
    name: Annotated[str, Parameter(help="Which demo: six, hillclimb, hillclimb-faults or v8.")] = "hillclimb",
    open: Annotated[
        bool, Parameter(name="--open", negative="", help="Show the pack's front page afterwards.")
    ] = False,
) -> int:
    """Work out a demo job (invented data) and write its pack."""
    from loomwright.cli.begin import demonstrate

    return demonstrate(out, name, open)
