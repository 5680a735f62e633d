"""What is wrong in a file: where exactly, and why."""

from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Problem:
    """One thing that is wrong: the file, its line (the header is line 1), the column, and the reason in words.

    Line 0 stands for the whole file, an empty column for the whole line. `value` is what the cell says.
    """

    file: str
    line: int
    column: str
    reason: str
    value: str = ""

    def __str__(self) -> str:
        line = f", line {self.line}" if self.line else ""
        column = f", column {self.column}" if self.column else ""
        return f"{self.file}{line}{column}: {self.reason}"
