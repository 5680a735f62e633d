"""Usage: of every material, what was there, came, was made, went and was counted in a period, so that it closes."""

from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta

from django.db.models import Q, Sum

from brewery.science.duty.periods import period_of
from brewery.science.duty.schemes import PeriodKind
from inventory.models import DayFlow, Material, YearFlow
from inventory.queries.turnover import FLOWS, way_of

COLUMNS: dict[str, tuple[str, tuple[str, ...]]] = {
    "received": ("Received", ("received",)),
    "produced": ("Produced", ("made",)),
    "used": ("Used", ("used", "drawn")),
    "came_back": ("Came back", ("came_back",)),
    "sampled": ("Sampled", ("sampled",)),
    "lost": ("Lost", ("lost",)),
    "destroyed": ("Destroyed", ("destroyed",)),
    "shipped": ("Shipped", ("shipped",)),
    "sent_back": ("Sent back", ("sent_back",)),
    "counted": ("Counted, more or less", ("found",)),
}
"""Each column between opening and closing: its name for people, and the ways of `FLOWS` that it sums up."""


NET = ("used", "came_back")
"""The columns that make what was used for good."""


@dataclass(frozen=True)
class Period:
    """The brewery's days from the first to the last, both among them."""

    first: date
    last: date

    def __str__(self) -> str:
        return f"{self.first} to {self.last}"

    @property
    def before(self) -> "Period":
        """The period before it: whole months where it is of whole months, otherwise as many days."""
        months = self._months
        if months:
            return Period(_months_on(self.first, -months), self.first - timedelta(1))
        return Period(self.first - (self.last - self.first) - timedelta(1), self.first - timedelta(1))

    @property
    def year_before(self) -> "Period":
        """The same days of the year before; of whole months, the same months."""
        first = _months_on(self.first, -12)
        if self._months:
            return Period(first, _months_on(self.last + timedelta(1), -12) - timedelta(1))
        return Period(first, _months_on(self.last, -12))

    @property
    def _months(self) -> int:
        """How many whole months it is of, or 0."""
        after = self.last + timedelta(1)
        if self.first.day != 1 or after.day != 1:
            return 0
        return (after.year - self.first.year) * 12 + after.month - self.first.month


@dataclass(frozen=True)
class Usage:
    """One material in a period, in micro-units: `flows` by the names of `FLOWS`, above zero what came in."""

    material: Material
    opening_micro: int
    flows: dict[str, int] = field(default_factory=dict)

    @property
    def columns(self) -> dict[str, int]:
        """What came in (above zero) and went out (below), by the names of `COLUMNS`."""
        return {name: sum(self.flows.get(way, 0) for way in ways) for name, (_, ways) in COLUMNS.items()}

    @property
    def closing_micro(self) -> int:
        """What all of it leaves on hand at the end of the last day."""
        return self.opening_micro + sum(self.flows.values())

    @property
    def used_micro(self) -> int:
        """What was used, above zero, less what came back from brews and runs."""
        return -sum(self.columns[name] for name in NET)


def usage_of(period: Period, materials: Collection[Material] = (), known_by: date | None = None) -> list[Usage]:
    """Return the usage of the materials, or of all that were there or moved, by code; three statements.

    `known_by` leaves out what was recorded on a later day.
    """
    chosen = Q(material__in=list(materials)) if materials else Q()
    opening, flows = _sums(period, chosen, known_by)
    asked = Material.objects.filter(pk__in=[one.pk for one in materials] if materials else [*opening, *flows])
    usages = (Usage(one, opening.get(one.pk, 0), dict(flows.get(one.pk, {}))) for one in asked.order_by("code"))
    return [one for one in usages if materials or one.opening_micro or any(one.flows.values())]


def _sums(period: Period, chosen: Q, known_by: date | None) -> tuple[dict[int, int], dict[int, dict[str, int]]]:
    """Return what was on hand before the period, and what came and went in it by way, each by material."""
    opening: dict[int, int] = defaultdict(int)
    flows: dict[int, dict[str, int]] = defaultdict(lambda: dict.fromkeys(FLOWS, 0))
    for material, kind, source, target, before, within in _rows(period, chosen, known_by):
        name, sign = way_of(kind, source, target)
        if sign:
            opening[material] += sign * int(before)
            flows[material][name] += sign * int(within)
    return opening, flows


def _rows(period: Period, chosen: Q, known_by: date | None) -> Iterator[tuple[int, str, str, str, int, int]]:
    """Yield by material and way what moved before and within the period: whole years before it, and then its days.

    Years do not tell when they were recorded, so what was known by a day is a sum over all the days.
    """
    days = DayFlow.objects.filter(chosen, day__lte=period.last).order_by()
    if known_by:
        days = days.filter(recorded_on__lte=known_by)
    else:
        days = days.filter(day__gte=date(period.first.year, 1, 1))
        years = YearFlow.objects.filter(chosen, year__lt=period.first.year).order_by()
        for *way, before in years.values_list(*_WAY).annotate(before=Sum("quantity_micro")):
            yield (*way, before, 0)
    is_before = Q(day__lt=period.first)
    yield from days.values_list(*_WAY).annotate(
        before=Sum("quantity_micro", filter=is_before, default=0),
        within=Sum("quantity_micro", filter=~is_before, default=0),
    )


_WAY = ("material", "kind", "from_kind", "to_kind")


def months_of(year: int) -> Iterator[Period]:
    """Yield the months of a year."""
    for month in range(1, 13):
        yield month_of(date(year, month, 1))


def month_of(day: date) -> Period:
    """Return the month that the day is in."""
    return Period(*period_of(PeriodKind.MONTH, day))


def _months_on(day: date, months: int) -> date:
    """Return the day so many months on: the last of the month where it has no such day."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    last = (date(year + (month == 11), (month + 1) % 12 + 1, 1) - timedelta(1)).day
    return date(year, month + 1, min(day.day, last))
