"""The duty record over time: the months of the last year, and a period beside the one before and the year before."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from inventory.queries.usage import Period, month_of
from traceability.queries.duty_lines import LINES
from traceability.queries.duty_periods import record_under
from traceability.queries.duty_record import DutyRow, lines_between, litres, totals

MONTHS = 13


@dataclass(frozen=True, slots=True)
class Compared:
    """One line of a period, of the period before and of the same a year before, in litres; `name` is "" of a sum.

    `kept` is as the period was closed, "" of one that is open.
    """

    name: str
    words: str
    now: str
    before: str
    year_before: str
    kept: str = ""


def months_until(today: date) -> list[Period]:
    """Return the month of the day and the twelve before it, the oldest first."""
    months = [month_of(today)]
    while len(months) < MONTHS:
        months.append(months[-1].before)
    return months[::-1]


def months_with_record(months: Sequence[Period]) -> list[tuple[Period, dict[str, int]]]:
    """Return each month with its lines in 10⁻¹² L, of all beer together."""
    return list(zip(months, lines_between(months), strict=True))


def comparison(
    scheme: str, period: Period, rows: Sequence[DutyRow], record: Mapping[str, Any] | None
) -> list[Compared]:
    """Return the lines in their order, of all beer together, without those on which nothing is in any column.

    `record` is what was kept of the period when it was closed.
    """
    others = [record_under(scheme, one) for one in (period.before, period.year_before)]
    now, before, year_before = (totals(one) for one in (rows, *others))
    kept = _totals_kept(record) if record else dict.fromkeys(now, 0)
    return [
        Compared(
            name if name in LINES else "",
            words,
            litres(now[name]),
            litres(before[name]),
            litres(year_before[name]),
            litres(kept[name]) if record else "",
        )
        for name, words in named_lines().items()
        if name in ("opening", "closing") or any(one[name] for one in (now, before, year_before, kept))
    ]


def _totals_kept(record: Mapping[str, Any]) -> dict[str, int]:
    """The lines of a kept record, of all beer together, in 10⁻¹² L."""
    sums = dict.fromkeys(named_lines(), 0)
    for row in record["rows"]:
        sums["opening"] += _pico(row["opening_l"])
        sums["closing"] += _pico(row["closing_l"])
        sums["late"] += sum(_pico(line["litres"]) for line in row["late"])
        for line in row["lines"]:
            sums[line["line"]] += _pico(line["litres"])
    return sums


def _pico(amount_l: str) -> int:
    return int(Decimal(amount_l).scaleb(12))


def named_lines() -> dict[str, str]:
    """Return the names of the lines for people, between what opens and what closes them."""
    named = {"opening": "On hand at the beginning", "late": "Recorded late for earlier periods", **LINES}
    return {**named, "closing": "On hand at the end"}
