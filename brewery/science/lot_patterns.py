"""Lot codes and best-before days by a rule of the brewery's own: a pattern of plain tokens, and a span of time.

"{year}{day}-{hour}{number}" filled on 6 March 2026 at 15:20 is "26065-151". A digit in a token is its least width:
"{number3}" is 001. What stands outside of braces is printed as it is.
"""

import calendar
import enum
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from types import MappingProxyType

from brewery.science.date_marks import months_after
from brewery.science.ranges import OutOfRange

LONGEST_CODE = 20
"""GS1 General Specifications, AI (10): 1 to 20 characters of character set 82."""

_TOKEN = re.compile(r"\{([a-z_]+)([1-9]?)\}")
_NOT_PRINTED = re.compile(r"[^!\"%&'*+,\-./0-9:;<=>?A-Z_a-z]")


class Span(enum.StrEnum):
    """In what a life is counted."""

    DAYS = "days"
    MONTHS = "months"


@dataclass(frozen=True, slots=True)
class Filled:
    """When something was filled by the brewery's clock, on which line, out of which tank."""

    at: datetime
    line: str = ""
    tank: str = ""


def _year(filled: Filled, pattern: str) -> str:
    # The week of ISO 8601 belongs to a year of its own: 30 December 2024 lies in week 1 of 2025.
    by_week = "{week" in pattern and "{day" not in pattern and "{month" not in pattern
    return str(filled.at.isocalendar().year if by_week else filled.at.year)


_WORDS: Mapping[str, Callable[[Filled, str], str]] = MappingProxyType(
    {
        "year": lambda filled, pattern: _year(filled, pattern)[-2:],
        "full_year": _year,
        "month": lambda filled, _: f"{filled.at:%m}",
        "day_of_month": lambda filled, _: f"{filled.at:%d}",
        "day": lambda filled, _: f"{filled.at:%j}",
        "week": lambda filled, _: f"{filled.at.isocalendar().week:02d}",
        "weekday": lambda filled, _: str(filled.at.isoweekday()),
        "hour": lambda filled, _: f"{filled.at:%H}",
        "line": lambda filled, _: _NOT_PRINTED.sub("", filled.line),
        "tank": lambda filled, _: _NOT_PRINTED.sub("", filled.tank),
    }
)
NUMBER = "number"
TOKENS = (*_WORDS, NUMBER)


def check_pattern(pattern: str) -> None:
    """Raise OutOfRange where the pattern can give no code."""
    unknown = [name for name, _ in _TOKEN.findall(pattern) if name not in TOKENS]
    if unknown:
        raise OutOfRange("pattern", pattern, f"{{{unknown[0]}}} is no token; there are: {', '.join(TOKENS)}.")
    fixed = _TOKEN.sub("", pattern)
    if not pattern or _NOT_PRINTED.search(fixed):
        raise OutOfRange("pattern", pattern, "Write tokens in braces, and letters, digits or signs without spaces.")
    if len(written_code(pattern, Filled(datetime(2026, 12, 31, 23)), 1)) > LONGEST_CODE:
        raise OutOfRange("pattern", pattern, f"A code has {LONGEST_CODE} characters at most.")


def written_code(pattern: str, filled: Filled, number: int) -> str:
    """Return the code of a fill under a running number; a pattern without one is told apart by "-2", "-3"."""

    def word(token: re.Match[str]) -> str:
        name, width = token[1], int(token[2] or 0)
        return (str(number) if name == NUMBER else _WORDS[name](filled, pattern)).rjust(width, "0")

    code = _TOKEN.sub(word, pattern)
    return code if f"{{{NUMBER}" in pattern or number == 1 else f"{code}-{number}"


def keeps_until(filled_on: date, count: int, span: Span, *, to_months_end: bool) -> date:
    """Return the best-before day: so many days or months after filling, or the end of that month."""
    day = months_after(filled_on, count) if span is Span.MONTHS else filled_on + timedelta(days=count)
    return day.replace(day=calendar.monthrange(day.year, day.month)[1]) if to_months_end else day
