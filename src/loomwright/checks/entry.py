"""What a code of a finding means, once for the program, the manual and the finding itself."""

from dataclasses import dataclass
from typing import Final

from loomwright.edits import Edit, Path
from loomwright.findings import Finding, Place, Severity
from loomwright.model.words import Level
from loomwright.sources import Source

ALL_LEVELS: Final = tuple(Level)
SHOPS: Final = (Level.SMALL_SHOP, Level.MOTORSPORT)
"""Levels at which habits of good shops are told; a street loom is left alone with them."""
FAULT: Final = Severity.FAULT
CAUTION: Final = Severity.CAUTION
NOTE: Final = Severity.NOTE


@dataclass(frozen=True, slots=True)
class Entry:
    """One code and all that is fixed about it.

    Attributes:
        code: stable, never used for anything else
        title: a few words, head of its page in docs/findings/
        severity: what it usually is
        means: a sentence on what it says and why it matters
        source: where the figure or the rule comes from
        sheets: keys of the sheets it touches (`findings.SHEETS`)
        accept: False = no reason of the builder's turns it off
        levels: levels of build it is raised at
        also: other severities it may come with
    """

    code: str
    title: str
    severity: Severity
    means: str
    source: Source
    sheets: tuple[str, ...] = ()
    accept: bool = True
    levels: tuple[Level, ...] = ALL_LEVELS
    also: tuple[Severity, ...] = ()

    def at(
        self,
        place: str,
        path: Path,
        what_is: str,
        should: str,
        remedy: str,
        *,
        subject: str = "",
        group: str = "",
        mends: tuple[Edit, ...] = (),
        severity: Severity | None = None,
        leaves_out: tuple[str, ...] = (),
        misses: tuple[str, ...] = (),
    ) -> Finding:
        """Return a finding of this code.

        Args:
            place, path: where, in words and as key path
            what_is, should, remedy: a sentence each
            severity: None = the usual one; else one of `also`
            leaves_out, misses: what ties it to other findings
        """
        chosen = severity or self.severity
        where = Place(place, path)
        return Finding(
            self.code,
            chosen,
            where,
            what_is,
            should,
            remedy,
            self.sheets,
            group,
            mends,
            subject=subject,
            leaves_out=leaves_out,
            misses=misses,
        )
