"""Columns: what one file of records looks like, and which of its columns a service's input came from."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from brewery.kernel.tables import columns as tables


@dataclass(frozen=True)
class Column(tables.Column):
    """One column of records. `of_record`: all lines of a record say the same. `makes`: the cell names something new."""

    of_record: bool = False
    makes: bool = False


@dataclass(frozen=True)
class Kind:
    """One kind of file. `names` says which column holds what a service calls by another name.

    Where the lines of a record are of several parts, `lists` says by what a service calls its lists which part that is.
    """

    name: str
    columns: tuple[Column, ...]
    several_lines: bool = False
    names: Mapping[str, str] = field(default_factory=dict)
    lists: Mapping[str, str] = field(default_factory=dict)

    @property
    def file(self) -> str:
        """The name of the file."""
        return f"{self.name}.csv"

    @property
    def key(self) -> str:
        """The column that says which record a line belongs to."""
        return self.columns[0].name

    @property
    def is_register(self) -> bool:
        """Whether its lines enter something under a code instead of telling what happened."""
        return self.key != "record"

    def column(self, name: str) -> Column | None:
        """Return the column of that name, if there is one."""
        return next((column for column in self.columns if column.name == name), None)

    def column_called(self, *fields: str) -> str:
        """Return the name of the column that a service calls by the first of `fields` known here."""
        for name in fields:
            plain = name.removesuffix("_micro")
            told = self.names.get(name) or self.names.get(plain) or _NAMES.get(plain, plain)
            if self.column(told):
                return told
        return self.key


_NAMES = {
    "actor": "recorded_by",
    "contents_code": "contents_lot",
    "started_at": "happened_at",
    "disposition": "decision",
    "base_unit": "unit",
    "contents_micro": "contents",
    "capacity_unit": "unit",
}
