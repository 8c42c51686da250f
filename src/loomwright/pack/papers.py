"""All papers of a job in the order the builder takes them up."""

from loomwright.checks.worked import Worked
from loomwright.findings import Finding
from loomwright.pack.branch_cards import branch_cards
from loomwright.pack.build_order import build_order
from loomwright.pack.circuits import circuits
from loomwright.pack.conductors import conductors
from loomwright.pack.cover import cover
from loomwright.pack.crimp_samples import crimp_samples
from loomwright.pack.cut_list import cut_list, lengths
from loomwright.pack.exit_groups_sheet import exit_groups_sheet
from loomwright.pack.field_sheet import field_sheet
from loomwright.pack.how_to_read import how_to_read
from loomwright.pack.installation_walk import installation_walk
from loomwright.pack.labels import labels
from loomwright.pack.lay_up import lay_up
from loomwright.pack.loom_map import loom_map
from loomwright.pack.marking_out import marking_out
from loomwright.pack.pages import PackHead, Sheet
from loomwright.pack.parts import parts
from loomwright.pack.pinouts import pinouts
from loomwright.pack.plan_sheet import plan_sheet
from loomwright.pack.power_up import power_up
from loomwright.pack.register import register
from loomwright.pack.route import route
from loomwright.pack.sleeves import sleeves, slide_on
from loomwright.pack.splices import splices
from loomwright.pack.tap_sheets import tap_sheets
from loomwright.pack.test_sheet import test_sheet
from loomwright.pack.view import View

FOOT = "Figures are a design aid. The builder checks them against the parts in hand."


def papers(worked: Worked, findings: tuple[Finding, ...], digest: str, issued: str) -> tuple[Sheet, ...]:
    """Return every paper of a job.

    Args:
        worked: job with everything derived from it
        findings: all findings, accepted ones marked
        digest: printed on every sheet
        issued: date to print

    Returns:
        Sheets in the order the builder takes them up; a paper with nothing to say is left out.
    """
    view = View(worked, findings, digest, issued)
    sheets = (
        cover(view),
        how_to_read(view),
        register(view),
        circuits(view),
        conductors(view),
        *loom_map(view),
        route(view),
        *plan_sheet(view),
        parts(view),
        cut_list(view),
        lengths(view),
        labels(view),
        splices(view),
        *marking_out(view),
        branch_cards(view),
        *exit_groups_sheet(view),
        sleeves(view),
        slide_on(view),
        build_order(view),
        lay_up(view),
        crimp_samples(view),
        *pinouts(view),
        *tap_sheets(view),
        test_sheet(view),
        installation_walk(view),
        power_up(view),
        field_sheet(view),
    )
    return tuple(sheet for sheet in sheets if sheet.blocks)


def pack_head(worked: Worked, digest: str, issued: str) -> PackHead:
    """Return what stands on every page; a demo says on each that it is invented."""
    job = worked.job
    if job.demo:
        return PackHead(
            f"Invented demo: {job.title}",
            job.revision,
            digest,
            issued,
            f"Invented data, build nothing from it. {FOOT}",
        )
    return PackHead(job.title, job.revision, digest, issued, FOOT)
