"""Rates: dated rows of what a law charges, and the one that is in force on a day. A rate is never a constant."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from functools import cached_property
from itertools import groupby, pairwise

from brewery.science.ranges import OutOfRange


@dataclass(frozen=True, slots=True)
class Rate:
    """What a scheme charges under a key, from one day to another, both included; without `valid_until`, until further.

    `value` is None where no source gave the figure. `checked_on` is the day on which a person compared the row with
    the law; None is "to be checked".
    """

    scheme: str
    key: str
    value: Decimal | None
    unit: str
    valid_from: date
    valid_until: date | None
    source: str
    checked_on: date | None = None

    def is_in_force(self, day: date) -> bool:
        """Whether the day is one of its days."""
        return self.valid_from <= day and (self.valid_until is None or day <= self.valid_until)


@dataclass(frozen=True)
class RateBook:
    """The rows of one scheme, asked by key and day."""

    rows: tuple[Rate, ...]

    @cached_property
    def _by_key(self) -> dict[str, list[Rate]]:
        ordered = sorted(self.rows, key=lambda row: (row.key, row.valid_from))
        return {key: list(rows) for key, rows in groupby(ordered, key=lambda row: row.key)}

    def row_on(self, key: str, day: date) -> Rate:
        """Return the one row in force on a day. Raises OutOfRange: no row, a gap, or more rows than one."""
        rows = self._by_key.get(key, [])
        found = [row for row in rows if row.is_in_force(day)]
        if len(found) > 1:
            starts = " and ".join(str(row.valid_from) for row in found)
            raise OutOfRange(key, str(day), f"The rates from {starts} overlap: end the earlier one.")
        if not found:
            known = ", ".join(_days(row) for row in rows) or "no day at all"
            raise OutOfRange(key, str(day), f"No rate is in force; rates are known {known}. Enter the one that was.")
        return found[0]

    def on(self, key: str, day: date) -> Decimal:
        """Return the figure in force on a day. Raises OutOfRange, also where the figure was never found."""
        row = self.row_on(key, day)
        if row.value is None:
            raise OutOfRange(
                key, str(day), f"No source gave this figure ({row.source}). Look it up at the authority and enter it."
            )
        return row.value

    def rows_in(self, start: date, end: date) -> tuple[Rate, ...]:
        """Return the rows that are in force on any day of a period."""
        return tuple(
            row for row in self.rows if row.valid_from <= end and (row.valid_until is None or row.valid_until >= start)
        )

    def faults(self) -> list[str]:
        """Return what is wrong with the rows, a sentence each: days that two of them claim or none does."""
        return [fault for rows in self._by_key.values() for fault in _faults(rows)]


def unchecked(rows: Iterable[Rate]) -> list[Rate]:
    """Return the rows that no person has compared with the law yet."""
    return [row for row in rows if row.checked_on is None]


def _faults(rows: list[Rate]) -> Iterable[str]:
    for row in rows:
        if row.valid_until is not None and row.valid_until < row.valid_from:
            yield f"{row.key}: the rate {_days(row)} ends before it begins."
    for earlier, later in pairwise(rows):
        if earlier.valid_until is None or earlier.valid_until >= later.valid_from:
            yield f"{row.key}: the rates {_days(earlier)} and {_days(later)} overlap; end the earlier one."
        elif earlier.valid_until + timedelta(days=1) < later.valid_from:
            yield f"{row.key}: no rate is in force between {earlier.valid_until} and {later.valid_from}."


def _days(row: Rate) -> str:
    return f"from {row.valid_from}" + (f" until {row.valid_until}" if row.valid_until else "")
