"""The duty record over time: the months of the last year, and a period beside the one before and the year before."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from inventory.queries.usage import Period, month_of
from traceability.queries.duty_lines import LINES
from traceability.queries.duty_periods import record_under
from traceability.queries.duty_record import DutyRow, lines_between, litres, totals

MONTHS = 13


@dataclass(frozen=True, slots=True)
class Compared:
    """One line of a period, of the period before and of the same a year before, in litres; `name` is "" of a sum."""

    name: str
    words: str
    now: str
    before: str
    year_before: str


def months_until(today: date) -> list[Period]:
    """Return the month of the day and the twelve before it, the oldest first."""
    months = [month_of(today)]
    while len(months) < MONTHS:
        months.append(months[-1].before)
    return months[::-1]


def months_with_record(months: Sequence[Period]) -> list[tuple[Period, dict[str, int]]]:
    """Return each month with its lines in 10⁻¹² L, of all beer together."""
    return list(zip(months, lines_between(months), strict=True))


def comparison(scheme: str, period: Period, rows: Sequence[DutyRow]) -> list[Compared]:
    """Return the lines in their order, of all beer together, without those on which nothing is in any of the three."""
    others = [record_under(scheme, one) for one in (period.before, period.year_before)]
    three = [totals(one) for one in (rows, *others)]
    return [
        Compared(name if name in LINES else "", words, *(litres(one[name]) for one in three))
        for name, words in named_lines().items()
        if name in ("opening", "closing") or any(one[name] for one in three)
    ]


def named_lines() -> dict[str, str]:
    """Return the names of the lines for people, between what opens and what closes them."""
    named = {"opening": "On hand at the beginning", "late": "Recorded late for earlier periods", **LINES}
    return {**named, "closing": "On hand at the end"}
