"""What pages send: the shapes of the HTTP interface, checked before anything is done."""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, JsonValue

from loomwright.edits import Edit, Verb

MOST_EDITS = 2000
STEP = 200
SENTENCE = 2000


class Said(BaseModel):
    """Any message: an unknown key is refused."""

    model_config = ConfigDict(extra="forbid")


class EditMessage(Said):
    """One edit of the job file: verb, key path, value, why."""

    verb: Literal["set", "remove", "rename"]
    path: list[str | int] = Field(min_length=1, max_length=12)
    value: JsonValue = None
    reason: str = Field("", max_length=SENTENCE)

    def edit(self) -> Edit:
        """Return it as an edit."""
        return Edit(Verb(self.verb), tuple(self.path), self.value, self.reason)


class EditsMessage(Said):
    """Edits made for a state, all or none.

    Attributes:
        base: digest of the state
        edits: what to do, in order
        words: what it is, for the log
        want: slices to send back where they changed; None = the light ones
    """

    base: str = Field(max_length=100)
    edits: list[EditMessage] = Field(min_length=1, max_length=MOST_EDITS)
    words: str = Field("", max_length=SENTENCE)
    want: list[str] | None = Field(None, max_length=40)


class StepMessage(Said):
    """Undo or redo at a state."""

    base: str = Field(max_length=100)
    want: list[str] | None = Field(None, max_length=40)


class MinutesMessage(Said):
    """Take learnt minutes over into stock.toml.

    Attributes:
        base: digest of stock.toml they were shown for, "" = there was none
        keys: which of them
    """

    base: str = Field("", max_length=100)
    keys: list[str] = Field(min_length=1, max_length=40)


class NewJobMessage(Said):
    """A new job: its name and what it begins from."""

    name: str = Field("", max_length=STEP)
    source: str = Field(alias="from", max_length=STEP)
    text: str = Field("", max_length=4_000_000)


class PackMessage(Said):
    """Write the pack.

    Attributes:
        tile_paper: paper of the board's tiles
        printer: name of the printer, "" = none named
        measured: what its printed 100 mm bars measure, across and up [mm]
    """

    tile_paper: Literal["A4", "A3", "Letter", "Tabloid"] = "A4"
    printer: str = Field("", max_length=40)
    measured: tuple[float, float] | None = None


class IssueMessage(Said):
    """Issue a revision."""

    rev: str = Field("", max_length=40)
    with_faults: bool = False
    tile_paper: Literal["A4", "A3", "Letter", "Tabloid"] = "A4"


class TableMessage(Said):
    """A pasted or chosen table to take in: CSV text."""

    text: str = Field(max_length=2_000_000)
    device: str = Field("", max_length=STEP)
