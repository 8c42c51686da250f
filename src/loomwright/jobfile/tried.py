"""A job as edits would make it, without a new text: for trying what is not written."""

from collections.abc import Iterable
from dataclasses import replace

from loomwright.edits import Edit
from loomwright.jobfile.kept import kept_text
from loomwright.jobfile.plain_edit import plain_edit
from loomwright.jobfile.read import ReadJob, job_of_document


def tried(read: ReadJob, edits: Iterable[Edit]) -> ReadJob:
    """Return a job as edits would make it; pure.

    The edits are carried out on the decoded values alone, as `edit_text` checks every edited text against;
    the text and the lines stay those of the job as it is.

    Args:
        read: the job as it is
        edits: what to try, in order
    Raises:
        RefusedEdit: an edit does not fit the job file.
    """
    values = read.document.values
    for edit in edits:
        values = plain_edit(values, edit, lambda _: False)
    document = replace(read.document, values=values)
    found = job_of_document(document, kept_text(read.job.kept), read.folder)
    return replace(found, folder=read.folder, stock=read.stock)
