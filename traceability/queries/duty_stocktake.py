"""Stock as it was taken about the end of a duty period, place by place, beside what the book said at that moment."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from inventory.models import CountLine, CountSheet, Event, Location, Material, Posting
from inventory.queries.count_sheets import differences_of
from inventory.queries.usage import Period
from traceability.queries.duty_periods import COUNTED_WITHIN
from traceability.queries.duty_record import edges, litres

_BEER = (Material.Kind.BEER, Material.Kind.PACKAGED)


@dataclass(frozen=True, slots=True)
class Taken:
    """One lot in one place as it was counted, in 10⁻¹² L; above zero what was found beyond the book.

    `book_pico` is None where it was counted by itself and not on a sheet: then only the difference is on record.
    """

    place: str
    product: str
    lot: str
    counted_at: datetime
    book_pico: int | None
    difference_pico: int
    reason: str

    @property
    def counted_pico(self) -> int | None:
        """What was there."""
        return None if self.book_pico is None else self.book_pico + self.difference_pico


def stock_taken(period: Period) -> list[Taken]:
    """Return what was counted of beer within a week of the period's end, by place and lot."""
    _, end = edges(period)
    since, until = end - COUNTED_WITHIN, end + COUNTED_WITHIN
    found = [*_on_sheets(since, until), *_by_themselves(since, until)]
    return sorted(found, key=lambda one: (one.place, one.product, one.lot, one.counted_at))


def stock_as_data(taken: list[Taken]) -> list[dict[str, str | None]]:
    """Return them as plain data, for what is kept and for answers."""
    return [
        {
            "place": one.place,
            "product": one.product,
            "lot": one.lot,
            "counted_at": one.counted_at.isoformat(),
            "book_l": None if one.book_pico is None else litres(one.book_pico),
            "counted_l": None if one.counted_pico is None else litres(one.counted_pico),
            "difference_l": litres(one.difference_pico),
            "reason": one.reason,
        }
        for one in taken
    ]


def _on_sheets(since: datetime, until: datetime) -> Iterator[Taken]:
    lines = CountLine.objects.filter(
        sheet__state=CountSheet.State.BOOKED,
        lot__material__kind__in=_BEER,
        counted_at__gte=since,
        counted_at__lte=until,
    ).select_related("lot__material", "location")
    for one in differences_of(lines):
        line, of_one = one.line, _of_one(one.line.lot.material)
        if line.counted_at is not None:
            told = (line.location.code, line.lot.material.code, line.lot.code, line.counted_at)
            yield Taken(*told, one.book_micro * of_one, one.difference_micro * of_one, line.reason)


def _by_themselves(since: datetime, until: datetime) -> Iterator[Taken]:
    """Counts and gauges of one lot, that found a difference; those that no sheet booked and nobody took back."""
    rows = Posting.objects.filter(
        event__kind=Event.Kind.COUNT,
        event__count_line=None,
        event__reversed_by=None,
        event__happened_at__gte=since,
        event__happened_at__lte=until,
        lot__material__kind__in=_BEER,
    ).select_related("event", "lot__material", "from_location", "to_location")
    for row in rows:
        is_found = row.from_location.kind == Location.Kind.COUNT_DIFFERENCE
        place = row.to_location if is_found else row.from_location
        pico = row.quantity_micro * _of_one(row.lot.material) * (1 if is_found else -1)
        event = row.event
        yield Taken(place.code, row.lot.material.code, row.lot.code, event.happened_at, None, pico, event.reason)


def _of_one(material: Material) -> int:
    """10⁻¹² L in a millionth of the material's unit."""
    return material.contents_micro or 10**6
