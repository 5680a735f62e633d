"""Why a folder of records is refused."""

from collections.abc import Sequence

from brewery.kernel.tables.problems import Problem


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
