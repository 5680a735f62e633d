"""Records: what was read, each value with the place it stands at."""

import re
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from brewery.kernel.tables.reading import Row
from brewery.production.services.records.columns import Kind

NAMESPACE = uuid.UUID("5b0c7f0e-8f0b-5d0b-9a57-3d0f6a4f2c11")
"""Never changes: the request ids of all records ever loaded come from it."""

_EARLIEST = datetime.min.replace(tzinfo=UTC)
_DIGITS = re.compile(r"(\d+)")


@dataclass(frozen=True)
class Record:
    """One record: all lines of a file that bear its number, in an order that does not depend on the file's."""

    kind: Kind
    number: str
    rows: tuple[Row, ...]

    def __getitem__(self, column: str) -> Any:
        return self.rows[0][column]

    @property
    def line(self) -> int:
        """The first line that belongs to it."""
        return min(row.line for row in self.rows)

    @property
    def request_id(self) -> uuid.UUID:
        """The request id under which it is written, today and whenever it is handed over again."""
        return request_id_of(self.kind, self.number)

    @property
    def happened_at(self) -> datetime:
        """When it happened; entries of registers come before everything."""
        return _EARLIEST if self.kind.is_register else self["happened_at"]

    def place_of(self, value: object) -> tuple[int, str] | None:
        """Return the line and the column where `value` stands as a code, if it does."""
        for row in self.rows:
            for name, cell in row.cells.items():
                if isinstance(cell, str) and cell == value:
                    return row.line, name
        return None

    def listed(self, name: str) -> list[Row]:
        """Return the lines that became a service's list of that name, in its order."""
        part = self.kind.lists.get(name)
        if part is None:
            return list(self.rows)
        return sorted((row for row in self.rows if row["part"] == part), key=lambda row: int(row["position"]))

    def made(self) -> dict[str, int]:
        """Return the codes of all new things that it names, each with its line."""
        makers = [column.name for column in self.kind.columns if column.makes]
        return {row[name]: row.line for row in self.rows for name in makers if row[name]}


def request_id_of(kind: Kind, number: str) -> uuid.UUID:
    """Return the request id of a record."""
    return uuid.uuid5(NAMESPACE, f"{kind.file}:{number}")


def in_counting_order(number: str) -> tuple[tuple[int, int, str], ...]:
    """Return a key that sorts numbers as people count: D-9 before D-10."""
    parts = _DIGITS.split(number)
    return tuple((1, int(part), part) if part.isdecimal() else (0, 0, part) for part in parts)
