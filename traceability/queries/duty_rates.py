"""The rates that a scheme is reckoned by: those that came with it, those that the brewery entered in their place."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from itertools import groupby

from brewery.science.duty.known import SCHEMES
from brewery.science.duty.questions import Facts
from brewery.science.duty.rates import Rate, RateBook, unchecked
from traceability.models import DutyFacts, DutyRate


@dataclass(frozen=True)
class KnownRate:
    """A rate in force for some days; `entered` is the row of the brewery, None where it came with the scheme."""

    rate: Rate
    entered: DutyRate | None

    @property
    def state(self) -> str:
        """In words, how far it can be trusted."""
        if self.rate.value is None:
            return "no source gave it: enter it"
        return f"checked on {self.rate.checked_on}" if self.rate.checked_on else "to be checked"


def known_rates(scheme: str) -> list[KnownRate]:
    """Return the rates by key and day. A row of the brewery's ends what was in force before it."""
    shipped = {(row.key, row.valid_from): KnownRate(row, None) for row in SCHEMES[scheme].rates}
    entered = {
        (row.key, row.valid_from): KnownRate(_as_rate(row), row)
        for row in DutyRate.objects.filter(scheme=scheme).select_related("actor").order_by("pk")
    }
    rows = sorted((shipped | entered).values(), key=lambda one: (one.rate.key, one.rate.valid_from))
    return [one for _, of_key in groupby(rows, key=lambda one: one.rate.key) for one in _ended(list(of_key))]


def rate_book(scheme: str) -> RateBook:
    """Return the rates of the scheme, to be asked by key and day."""
    return RateBook(tuple(one.rate for one in known_rates(scheme)))


def doubts_of(book: RateBook, first: date, last: date) -> list[str]:
    """Return what is doubtful of the rates of some days: how many nobody compared with the law, and what overlaps."""
    loose = unchecked(row for row in book.rows_in(first, last) if row.value is not None)
    told = (
        [f"{len(loose)} rates in force in these days were not compared with the law yet: check them."] if loose else []
    )
    return [*told, *book.faults()]


def facts_on(scheme: str, day: date) -> dict[str, Decimal | bool]:
    """Return what the brewery answered to the scheme's questions, as it holds in the period that begins on a day.

    Answers about an earlier period alone are not among them. Empty where nothing was answered.
    """
    row = DutyFacts.objects.filter(scheme=scheme, since__lte=day).order_by("-since", "-pk").first()
    if row is None:
        return {}
    passing = {one.key for one in SCHEMES[scheme].questions if one.of_period and row.since != day}
    return {key: told for key, told in facts_from(row.facts).items() if key not in passing}


def facts_from(kept: dict[str, str | bool]) -> dict[str, Decimal | bool]:
    """Return answers as they were kept."""
    return {key: told if isinstance(told, bool) else Decimal(told) for key, told in kept.items()}


def facts_to_keep(facts: Facts) -> dict[str, str | bool]:
    """Return answers as plain data."""
    return {key: told if isinstance(told, bool) else f"{told:f}" for key, told in facts.items()}


def rates_as_data(rates: Iterable[Rate]) -> list[dict[str, str | None]]:
    """Return the rates as plain data."""
    return [
        {
            "key": one.key,
            "value": None if one.value is None else f"{one.value:f}",
            "unit": one.unit,
            "valid_from": one.valid_from.isoformat(),
            "valid_until": one.valid_until.isoformat() if one.valid_until else None,
            "source": one.source,
            "checked_on": one.checked_on.isoformat() if one.checked_on else None,
        }
        for one in rates
    ]


def unit_of_rate(scheme: str, key: str) -> str | None:
    """Return what the rates of a key are in; None where the scheme has no such key."""
    return next((row.unit for row in SCHEMES[scheme].rates if row.key == key), None)


def _as_rate(row: DutyRate) -> Rate:
    value = Decimal(row.value_micro).scaleb(-6)
    unit = unit_of_rate(row.scheme, row.key) or ""
    return Rate(row.scheme, row.key, value, unit, row.valid_from, row.valid_until, row.source, row.checked_on)


def _ended(rows: list[KnownRate]) -> Iterator[KnownRate]:
    """Each ends the day before the next begins, where that is one of the brewery's own."""
    for one, after in zip(rows, [*rows[1:], None], strict=True):
        runs_into = after and (one.rate.valid_until is None or one.rate.valid_until >= after.rate.valid_from)
        if after and runs_into and after.entered:
            until = after.rate.valid_from - timedelta(days=1)
            yield replace(one, rate=replace(one.rate, valid_until=until))
        else:
            yield one
