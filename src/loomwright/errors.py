"""Every exception the program raises on purpose.

LoomwrightError
├── OutOfRange       a calculation was asked outside the range it holds for
├── Unreadable       a file can't be read as what it should be; carries file, line, what is, what should be
├── ChangedMeanwhile a file was changed by somebody else since it was read
├── RefusedEdit      an edit can't be carried out on this text
└── Missing          an optional part is not installed

Faults in a builder's job are findings (`loomwright.findings`), never exceptions.
"""

from pathlib import Path


class LoomwrightError(Exception):
    """Root of the program's own exceptions."""


class OutOfRange(LoomwrightError):
    """A calculation was asked outside the range it holds for."""

    def __init__(self, name: str, value: object, limit: str, remedy: str) -> None:
        self.name, self.value, self.limit, self.remedy = name, value, limit, remedy
        super().__init__(f"{name} is {value}; it must be {limit}. {remedy[:1].upper()}{remedy[1:]}.")


class Unreadable(LoomwrightError):
    """A file can't be read as what it should be."""

    def __init__(self, file: Path | str, line: int | None, what_is: str, should: str, remedy: str) -> None:
        self.file, self.line = str(file), line
        self.what_is, self.should, self.remedy = what_is, should, remedy
        where = self.file if line is None else f"{self.file}:{line}"
        super().__init__(f"{where}  {what_is} {should} {remedy}".rstrip())


class ChangedMeanwhile(LoomwrightError):
    """A file was changed by somebody else since it was read; nothing was written."""

    def __init__(self, file: Path | str) -> None:
        self.file = str(file)
        super().__init__(
            f"{self.file} was changed since it was read. Nothing was written; read it and edit again."
        )


class RefusedEdit(LoomwrightError):
    """An edit can't be carried out on this text; nothing was changed."""


class Missing(LoomwrightError):
    """An optional part is not installed; the message says how to get it."""
