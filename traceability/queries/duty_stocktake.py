"""Stock as it was taken about the end of a duty period, place by place, beside what the book said at that moment."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import BigIntegerField, Case, OuterRef, Q, Subquery, Sum, Value, When
from django.db.models.functions import Coalesce

from inventory.models import CountLine, CountSheet, Event, Location, Material, Posting
from inventory.queries.count_sheets import differences_of
from inventory.queries.usage import Period
from traceability.queries.duty_moments import edges
from traceability.queries.duty_periods import COUNTED_WITHIN
from traceability.queries.duty_record import litres

_BEER = (Material.Kind.BEER, Material.Kind.PACKAGED)


@dataclass(frozen=True, slots=True)
class Taken:
    """One lot in one place as it was counted, in 10⁻¹² L, beside the book as it was known then."""

    place: str
    product: str
    lot: str
    counted_at: datetime
    book_pico: int
    difference_pico: int
    reason: str

    @property
    def counted_pico(self) -> int:
        """What was there."""
        return self.book_pico + self.difference_pico


def stock_taken(period: Period) -> list[Taken]:
    """Return what was counted of beer within a week of the period's end, by place and lot."""
    _, end = edges(period)
    since, until = end - COUNTED_WITHIN, end + COUNTED_WITHIN
    found = [*_on_sheets(since, until), *_by_themselves(since, until)]
    return sorted(found, key=lambda one: (one.place, one.product, one.lot, one.counted_at))


def stock_as_data(taken: list[Taken]) -> list[dict[str, str]]:
    """Return them as plain data, for what is kept and for answers."""
    return [
        {
            "place": one.place,
            "product": one.product,
            "lot": one.lot,
            "counted_at": one.counted_at.isoformat(),
            "book_l": litres(one.book_pico),
            "counted_l": litres(one.counted_pico),
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
    is_found = Q(from_location__kind=Location.Kind.COUNT_DIFFERENCE)
    rows = rows.annotate(place=Case(When(is_found, then="to_location"), default="from_location"))
    for row in rows.annotate(came=_until_then("to_location"), went=_until_then("from_location")):
        place = row.to_location if row.place == row.to_location_id else row.from_location
        of_one, event = _of_one(row.lot.material), row.event
        difference = row.quantity_micro * (1 if row.place == row.to_location_id else -1)
        told = (place.code, row.lot.material.code, row.lot.code, event.happened_at)
        yield Taken(*told, (row.came - row.went) * of_one, difference * of_one, event.reason)


def _until_then(side: str) -> Coalesce:
    """What of the lot had come to the place, or gone from it, at that time by the postings that stood before this."""
    before = Posting.objects.filter(
        **{side: OuterRef("place")},
        lot=OuterRef("lot"),
        pk__lt=OuterRef("pk"),
        event__happened_at__lte=OuterRef("event__happened_at"),
    )
    total = before.order_by().values("lot").annotate(total=Sum("quantity_micro")).values("total")
    return Coalesce(Subquery(total), Value(0), output_field=BigIntegerField())


def _of_one(material: Material) -> int:
    """10⁻¹² L in a millionth of the material's unit."""
    return material.contents_micro or 10**6
