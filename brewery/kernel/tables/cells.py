"""Cells: what the text of one cell may be, and the value that it stands for."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings

from brewery.science.units import UNITS

_MOMENT = re.compile(r"(\d{4}-\d{2}-\d{2}) (\d{2}:\d{2}) ?(Z|[+-]\d{2}:\d{2})?", re.ASCII)
_LOGGED = re.compile(r"(\d{4}-\d{2}-\d{2})[ T](\d{2}:\d{2}(?::\d{2})?) ?(Z|[+-]\d{2}:\d{2})?", re.ASCII)
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
_DECIMAL = re.compile(r"\d{1,20}(\.\d{1,20})?", re.ASCII)
_WHOLE = re.compile(r"\d{1,12}", re.ASCII)
_EARLIEST_YEAR, _LATEST_YEAR = 1900, 2999


class BadCell(ValueError):
    """The text cannot stand in this column; the message says why and what would do."""


@dataclass(frozen=True)
class Form:
    """What a column's cells look like: in words for people, and how the text becomes a value.

    `read` takes text that is not empty and raises BadCell.
    """

    words: str
    read: Callable[[str], Any]


def text(most: int) -> Form:
    """Return the form of free text of up to `most` characters."""

    def read(cell: str) -> str:
        if len(cell) > most:
            raise BadCell(f"It is {len(cell)} characters long; up to {most} fit.")
        return cell

    return Form(f"text, up to {most} characters", read)


def choice(*words: str) -> Form:
    """Return the form of one word out of `words`."""

    def read(cell: str) -> str:
        if cell not in words:
            raise BadCell(f"{cell!r} is not known here; write one of {', '.join(words)}.")
        return cell

    return Form(f"one of {', '.join(words)}", read)


def _read_moment(cell: str) -> datetime:
    """Return the moment in UTC; without an offset the text is in the brewery's time zone."""
    return _moment_of(cell, _MOMENT, "2026-03-02 08:00")


def _read_logged_moment(cell: str) -> datetime:
    """Return the moment as instruments write it: with seconds or without, a blank or a T before the hour."""
    return _moment_of(cell, _LOGGED, "2026-03-02T08:00:30")


def _moment_of(cell: str, form: re.Pattern[str], example: str) -> datetime:
    found = form.fullmatch(cell)
    if not found:
        raise BadCell(f"{cell!r} is no time; write it as {example}, if need be with an offset: +01:00.")
    day, clock, offset = found.groups()
    _read_day(day)
    try:
        moment = datetime.fromisoformat(f"{day} {clock}{offset or ''}")
    except ValueError as wrong:
        raise BadCell(f"{cell!r} is no time: {wrong}.") from None
    return moment.astimezone(UTC) if offset else _in_the_brewery(moment, cell)


def _in_the_brewery(moment: datetime, cell: str) -> datetime:
    """Return the moment in UTC. Raises BadCell where the clocks skipped it, or showed it twice."""
    zone = ZoneInfo(settings.BREWERY_TIME_ZONE)
    first, second = (moment.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))
    if first.astimezone(zone).replace(tzinfo=None) != moment:
        raise BadCell(f"{cell} did not exist in {zone.key}: the clocks were put forward.")
    if first != second:
        raise BadCell(f"{cell} came twice in {zone.key}, as the clocks were put back: add the offset, such as +01:00.")
    return first


def _read_day(cell: str) -> date:
    if not _DAY.fullmatch(cell):
        raise BadCell(f"{cell!r} is no date; write it as 2026-03-02.")
    try:
        day = date.fromisoformat(cell)
    except ValueError as wrong:
        raise BadCell(f"{cell!r} is no date: {wrong}.") from None
    if not _EARLIEST_YEAR <= day.year <= _LATEST_YEAR:
        raise BadCell(f"{cell!r} is too far off: the year is checked to be {_EARLIEST_YEAR} to {_LATEST_YEAR}.")
    return day


def _read_quantity(cell: str) -> Decimal:
    if not _DECIMAL.fullmatch(cell):
        raise BadCell(f"{cell!r} is no quantity; write a plain decimal such as 1250.5, not below zero.")
    return Decimal(cell)


def _read_amount(cell: str) -> Decimal:
    amount = _read_quantity(cell)
    if not amount:
        raise BadCell("It must be above zero.")
    return amount


def _read_whole(cell: str) -> int:
    if not _WHOLE.fullmatch(cell):
        raise BadCell(f"{cell!r} is no whole number; write digits only, such as 480.")
    return int(cell)


MOMENT = Form("time, YYYY-MM-DD HH:MM", _read_moment)
LOGGED_MOMENT = Form("time, YYYY-MM-DD HH:MM or YYYY-MM-DDTHH:MM:SS", _read_logged_moment)
DAY = Form("date, YYYY-MM-DD", _read_day)
QUANTITY = Form("plain decimal", _read_quantity)
AMOUNT = Form("plain decimal above zero", _read_amount)
WHOLE = Form("whole number", _read_whole)
UNIT = choice(*UNITS)
CODE = text(40)
WORDS = text(1000)
