"""A job as it is printed today: which revision letter its papers may carry, which instrument they are for."""

from dataclasses import replace
from pathlib import Path
from typing import Final

from loomwright.checks.worked import Worked
from loomwright.records.issue import issues

DRAFT: Final = "draft"
CHANGED: Final = "+ changes"


def as_printed(worked: Worked, folder: Path, digest: str, instrument: str = "") -> Worked:
    """Return a job with the words its papers carry in this printing.

    Args:
        worked: job with everything derived from it
        folder: the job folder, whose issued revisions are looked at
        digest: digest of the job as it is now
        instrument: what it will be tested with, "beeper", "hand meter" or "4-wire"; "" = as the job says
    """
    job, built = worked.job, worked.built
    shop = replace(job.shop, instrument=instrument) if instrument else job.shop
    words = revision_words(job.revision, folder, digest)
    was, now = f"revision {job.revision}", f"revision {words}"
    labels = tuple(
        replace(one, text=one.text.replace(was, now)) if one.kind == "loom" else one for one in built.labels
    )
    return replace(worked, job=replace(job, revision=words, shop=shop), built=replace(built, labels=labels))


def revision_words(revision: str, folder: Path, digest: str) -> str:
    """Return what a printing may call itself: only the issued state bears the bare letter.

    Args:
        revision: the letter in the job file, "" = none
        folder: the job folder
        digest: digest of the job as it is now

    Returns:
        "A" for the state that was issued as A, "A + changes" where it was changed since, "A draft" where
        no A was issued, "" without a letter.
    """
    same = (one.issue for one in issues(folder) if one.folder.name.lower() == revision.lower())
    told = next((one for one in same if one is not None), None)
    if not revision or (told is not None and told.digest == digest):
        return revision
    return f"{revision} {CHANGED if told is not None else DRAFT}"
