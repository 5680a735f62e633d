"""What is wrong in the files: where exactly, and why."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Problem:
    """One thing that is wrong: the file, its line (the header is line 1), the column, and the reason in words.

    Line 0 stands for the whole file, an empty column for the whole line.
    """

    file: str
    line: int
    column: str
    reason: str

    def __str__(self) -> str:
        line = f", line {self.line}" if self.line else ""
        column = f", column {self.column}" if self.column else ""
        return f"{self.file}{line}{column}: {self.reason}"


class RecordsRefused(Exception):
    """Nothing of the folder was written; `problems` says why.

    `stopped` is true where there were so many that the rest of the records was not tried.
    """

    def __init__(self, problems: Sequence[Problem], *, stopped: bool = False) -> None:
        super().__init__(f"{len(problems)} problems")
        self.problems = tuple(problems)
        self.stopped = stopped


class Misfit(Exception):
    """A cell that reads well but fits nothing in the record, such as the code of a lot that does not exist."""

    def __init__(self, line: int, column: str, reason: str, missing: str = "") -> None:
        super().__init__(reason)
        self.line = line
        self.column = column
        self.reason = reason
        self.missing = missing
