"""Count sheets: which are open, what is still to be counted, and how what was counted differs from the book."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Prefetch, Q, QuerySet

from inventory.models import Balance, CountFind, CountLine, CountSheet, Location, Lot, Posting

PPM = 1_000_000


@dataclass(frozen=True)
class Difference:
    """One counted line beside what the book said at the moment of counting, in micro-units."""

    line: CountLine
    book_micro: int

    @property
    def difference_micro(self) -> int:
        """What was found over and above the book; below zero what was missing."""
        return (self.line.counted_micro or 0) - self.book_micro

    @property
    def needs_approval(self) -> bool:
        """Whether it is more than the material's threshold: that part of what the book said, in millionths."""
        return abs(self.difference_micro) * PPM > self.line.lot.material.count_tolerance_ppm * self.book_micro


def sheets_with_lines() -> QuerySet[CountSheet]:
    """Return the sheets with their lines and finds: three statements however many."""
    lines = CountLine.objects.select_related("lot__material", "location", "counted_by").order_by(
        "location__code", "lot__code"
    )
    finds = CountFind.objects.select_related("location", "found_by")
    return sheets_in_brief().prefetch_related(Prefetch("lines", lines), Prefetch("finds", finds))


def sheets_in_brief() -> QuerySet[CountSheet]:
    """Return the sheets without their lines."""
    return CountSheet.objects.select_related("location", "material", "opened_by", "approved_by")


def open_sheets() -> QuerySet[CountSheet]:
    """Return the sheets that are being counted or wait to be booked, the oldest first."""
    states = (CountSheet.State.COUNTING, CountSheet.State.SUBMITTED)
    return sheets_in_brief().filter(state__in=states).order_by("pk")


def expected_on(sheet: CountSheet) -> list[tuple[Lot, Location]]:
    """Return the lots that the book expects on the sheet, with their places; how much it expects stays with it."""
    rows = Balance.objects.on_hand().select_related("lot__material", "location")
    here = Q(location=sheet.location) if sheet.location_id else Q(lot__material=sheet.material)
    return [(row.lot, row.location) for row in rows.filter(here).order_by("location__code", "lot__code")]


def booked_then(lot: Lot, location: Location, moment: datetime) -> int:
    """Return what the book says of the lot at the location at `moment`."""
    return _booked([(lot.pk, location.pk, moment)])[lot.pk, location.pk]


def differences_of(lines: Iterable[CountLine]) -> list[Difference]:
    """Return how the lines that are counted differ from the book of their moments; two statements however many.

    Of a line that is booked it is the difference that was booked, whatever was told late since.
    """
    counted = [line for line in lines if line.counted_at]
    waiting = [line for line in counted if line.event_id is None]
    book = _booked([(line.lot_id, line.location_id, line.counted_at) for line in waiting if line.counted_at])
    posted = _posted({line.event_id: line.location_id for line in counted if line.event_id})
    return [
        Difference(
            line,
            book[line.lot_id, line.location_id]
            if line.event_id is None
            else (line.counted_micro or 0) - posted[line.event_id],
        )
        for line in counted
    ]


def _posted(places: dict[int, int]) -> dict[int, int]:
    """Return what each event brought to its place, below zero what it took, by the event's key."""
    sums: dict[int, int] = defaultdict(int)
    rows = Posting.objects.filter(event__in=places).values_list("event", "to_location", "quantity_micro")
    for event, target, micro in rows if places else []:
        sums[event] += micro if target == places[event] else -micro
    return sums


def _booked(wanted: Sequence[tuple[int, int, datetime]]) -> dict[tuple[int, int], int]:
    until = {(lot, place): moment for lot, place, moment in wanted}
    sums: dict[tuple[int, int], int] = defaultdict(int)
    if not until:
        return sums
    lots, places = {lot for lot, _ in until}, {place for _, place in until}
    rows = Posting.objects.filter(Q(from_location__in=places) | Q(to_location__in=places), lot__in=lots)
    columns = ("lot", "from_location", "to_location", "quantity_micro", "event__happened_at")
    for lot, source, target, micro, moment in rows.values_list(*columns):
        for place, sign in ((source, -1), (target, 1)):
            if (lot, place) in until and moment <= until[lot, place]:
                sums[lot, place] += sign * micro
    return sums
