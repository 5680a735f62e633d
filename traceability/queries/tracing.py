"""A trace from several lots, back, forward or both, as rows of a table: narrowed, sorted and summed."""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import F

from brewery.kernel.clock import brewery_day
from inventory.models import Link, Location, Lot, Posting
from traceability.queries.graph import ALL_KINDS, Direction, Step
from traceability.queries.report import Place, places_of
from traceability.queries.trace import Spread, spread_from

START = "start"


@dataclass(frozen=True)
class Traced:
    """One lot of the answer: a start, or reached on one way (`start`, `back` or `forward`).

    `amount_micro` is, on the way back, how much of it is in the starts, in its own unit; on the way forward how much
    of the starts is in it, in `amount_unit`: None where the starts have no unit in common. `share` is its part of the
    whole that it is measured in.
    """

    lot: Lot
    way: str
    amount_micro: float | None
    amount_unit: str
    share: float | None
    places: list[Place]

    @property
    def customers(self) -> list[str]:
        """The customers that hold some of it, by name."""
        return [place.location.name for place in self.at_customers]

    @property
    def at_customers(self) -> list[Place]:
        """What lies at customers."""
        return [place for place in self.places if place.location.kind == Location.Kind.CUSTOMER]

    @property
    def elsewhere(self) -> list[Place]:
        """What lies at other places."""
        return [place for place in self.places if place.location.kind != Location.Kind.CUSTOMER]

    @property
    def where(self) -> str:
        """The other places, by name, without quantities."""
        return ", ".join(place.location.name for place in self.elsewhere)


@dataclass(frozen=True)
class Tracing:
    """The whole answer: its rows in order of time, and every link once."""

    rows: list[Traced]
    steps: list[Step]
    totals: dict[int, int]


@dataclass(frozen=True)
class Narrowed:
    """What of the rows is wanted; an empty part asks for nothing."""

    since: date | None = None
    until: date | None = None
    place: str = ""
    disposition: str = ""
    kind: str = ""


def trace_all(
    starts: Mapping[int, int],
    ways: Collection[Direction],
    kinds: Collection[Link.Kind] = ALL_KINDS,
    as_of: datetime | None = None,
) -> Tracing:
    """Return what is reached from these quantities of the lots; a fixed number of questions, however many there are."""
    spreads = [spread_from(starts, way, kinds=kinds, as_of=as_of) for way in Direction if way in ways]
    keys = set(starts).union(*(spread.amounts for spread in spreads))
    lots = Lot.objects.select_related("material", "supplier").in_bulk(keys)
    lying = {key: rows for spread in spreads for key, rows in spread.lying.items()}
    locations = Location.objects.select_related("party").in_bulk(
        {row.location for rows in lying.values() for row in rows}
    )
    where = {key: places_of(rows, locations) for key, rows in lying.items()}
    rows = [
        Traced(lots[key], START, float(micro), lots[key].material.base_unit, 1.0, where.get(key, []))
        for key, micro in starts.items()
    ]
    rows += [row for spread in spreads for row in _rows(spread, starts, lots, where)]
    totals = {key: total for spread in spreads for key, total in spread.totals.items()}
    steps = sorted({step for spread in spreads for step in spread.steps})
    return Tracing(sorted(rows, key=lambda row: row.lot.pk), steps, totals)


def _rows(
    spread: Spread, starts: Mapping[int, int], lots: Mapping[int, Lot], where: Mapping[int, list[Place]]
) -> Iterable[Traced]:
    units = {lots[key].material.base_unit for key in starts}
    whole = sum(starts.values())
    for key in spread.amounts.keys() - starts.keys():
        amount: float | None = spread.amounts[key]
        share: float | None
        if spread.direction is Direction.BACK:
            unit, share = lots[key].material.base_unit, spread.amounts[key] / spread.totals[key]
        elif len(units) == 1:
            unit, share = next(iter(units)), spread.amounts[key] / whole if whole else None
        else:
            amount, unit, share = None, "", None
        yield Traced(lots[key], spread.direction.value, amount, unit, share, where.get(key, []))


def narrowed(rows: Iterable[Traced], wanted: Narrowed) -> list[Traced]:
    """Return the rows that are wanted. Days are those on which lots were made or received, by the brewery's clock."""
    return [row for row in rows if _is_wanted(row, wanted)]


def _is_wanted(row: Traced, wanted: Narrowed) -> bool:
    made = brewery_day(row.lot.made_at)
    word = wanted.place.casefold()
    return (
        (wanted.since is None or made >= wanted.since)
        and (wanted.until is None or made <= wanted.until)
        and (not wanted.disposition or row.lot.disposition == wanted.disposition)
        and (not wanted.kind or row.lot.material.kind == wanted.kind)
        and (not word or any(word in f"{one.location.code} {one.location.name}".casefold() for one in row.places))
    )


SORTS: Mapping[str, Callable[[Traced], Any]] = {
    "made": lambda row: (row.lot.made_at, row.lot.pk),
    "lot": lambda row: (row.lot.code.casefold(), row.lot.pk),
    "material": lambda row: (row.lot.material.name.casefold(), row.lot.pk),
    "quantity": lambda row: (row.lot.material.base_unit, row.lot.total_micro, row.lot.pk),
    "share": lambda row: (row.share or 0.0, row.lot.pk),
    "where": lambda row: (row.where.casefold(), row.lot.pk),
    "disposition": lambda row: (row.lot.disposition, row.lot.pk),
    "customer": lambda row: ([name.casefold() for name in row.customers], row.lot.pk),
}


def in_order(rows: Iterable[Traced], sort: str) -> list[Traced]:
    """Return the rows sorted by one of SORTS; with a minus before its name the other way round."""
    return sorted(rows, key=SORTS[sort.removeprefix("-")], reverse=sort.startswith("-"))


@dataclass(frozen=True)
class Total:
    """How much of the rows of one kind and unit lies where, in micro-units."""

    kind: str
    unit: str
    lots: int
    inside_micro: int
    customers_micro: int
    elsewhere_micro: int


def totals_of(rows: Sequence[Traced]) -> list[Total]:
    """Return the sums of what lies inside, at customers and elsewhere (lost, destroyed, sent back), kind by kind."""
    groups: dict[tuple[str, str], dict[int, Traced]] = defaultdict(dict)
    for row in rows:
        groups[row.lot.material.get_kind_display(), row.lot.material.base_unit][row.lot.pk] = row
    return [_total(kind, unit, list(group.values())) for (kind, unit), group in sorted(groups.items())]


def _total(kind: str, unit: str, rows: list[Traced]) -> Total:
    places = [place for row in rows for place in row.places]
    inside = sum(place.quantity_micro for place in places if place.location.is_inside)
    customers = sum(place.quantity_micro for place in places if place.location.kind == Location.Kind.CUSTOMER)
    every = sum(place.quantity_micro for place in places)
    return Total(kind, unit, len(rows), inside, customers, every - inside - customers)


def tanks_made_in(lots: Iterable[int]) -> dict[int, str]:
    """Return by lot the tank that it was made in; of a lot made in several, one of them."""
    made = Posting.objects.filter(
        lot__in=list(lots), event=F("lot__made_by"), to_location__kind__in=Location.TANKS
    ).order_by("-pk")
    return dict(made.values_list("lot", "to_location__code"))
