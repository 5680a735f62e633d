"""The ledger's rules in words: each refuses with a sentence before the database would with a name."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime
from itertools import groupby

from django.core.exceptions import ValidationError
from django.db.models import Q, Sum

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import InvalidInput
from brewery.science.units import format_micro
from inventory.models import Balance, Event, Location, Lot, Posting
from inventory.models.dispositions import Disposition
from inventory.models.lots import lot_code
from inventory.services.refusals import (
    BeforeItsLot,
    InTheFuture,
    LotNotReleased,
    MadeByMistake,
    NotEnoughThen,
    NotEnoughThere,
    OverCapacity,
    VesselOccupied,
    VesselOccupiedThen,
)

LARGEST_MICRO = 2**62
"""A bound on every quantity, so that no sum of a lot's postings leaves 64 bits: 4.6 million tonnes."""


def shown(quantity_micro: int, lot: Lot) -> str:
    """Return a quantity of `lot` for people, with its unit."""
    return in_words(quantity_micro, lot.material.base_unit)


def in_words(quantity_micro: int, unit: str) -> str:
    """Return a quantity for people, with its unit."""
    return f"{format_micro(quantity_micro, unit)} {unit}"


def refuse_bad_lot(lot: Lot) -> None:
    """Raise InvalidInput where the lot's code or quantity cannot be."""
    refuse_bad_code(lot.code, "code")
    refuse_not_positive(lot.made_micro, "quantity", lot.material.base_unit)


def refuse_bad_code(code: str, field: str) -> None:
    """Raise InvalidInput where no lot can bear the code."""
    try:
        lot_code(code)
    except ValidationError as wrong:
        raise InvalidInput(field=field, value=code, problem=str(wrong.messages[0])) from wrong


def refuse_the_future(moment: datetime, field: str = "happened_at") -> None:
    """Raise InTheFuture for a moment that has not come yet."""
    if moment > now():
        raise InTheFuture(moment=on_the_wall(moment), field=field)


def refuse_not_positive(quantity_micro: int, field: str, unit: str) -> None:
    """Raise InvalidInput unless the quantity, in micro-units of `unit`, is above zero and within bounds."""
    if not 0 < quantity_micro < LARGEST_MICRO:
        told = in_words(quantity_micro, unit)
        raise InvalidInput(field=field, value=told, problem="Give a quantity above zero, in real amounts.")


def refuse_before_their_lots(event: Event, lots: Iterable[Lot]) -> None:
    """Raise BeforeItsLot where a lot was made after the event."""
    for lot in lots:
        if lot.made_at > event.happened_at:
            raise BeforeItsLot(
                lot=lot.code,
                made_at=on_the_wall(lot.made_at),
                moment=on_the_wall(event.happened_at),
                field="happened_at",
            )


def refuse_mistakes(event: Event, lots: Iterable[Lot]) -> None:
    """Raise MadeByMistake where the event that made a lot was reversed."""
    for lot in lots:
        if lot.reversed_by_id and event.kind != Event.Kind.REVERSE:
            raise MadeByMistake(lot=lot.code, field="lot")


def refuse_unreleased(event: Event, postings: Iterable[Posting]) -> None:
    """Raise LotNotReleased where a lot that is not released would be used without an override."""
    if event.override_reason or event.kind in (Event.Kind.REVERSE, Event.Kind.RECEIVE):
        return
    for posting in postings:
        lot = posting.lot
        if posting.to_location.kind in Location.CONSUMING and lot.disposition != Disposition.RELEASED:
            raise LotNotReleased(lot=lot.code, disposition=lot.get_disposition_display(), field="lot")


def refuse_more_than_is_there(postings: Iterable[Posting], held: dict[tuple[int, int], int]) -> None:
    """Raise NotEnoughThere where a place would be left with less than nothing."""
    asked: dict[tuple[int, int], int] = defaultdict(int)
    for posting in postings:
        refuse_not_positive(posting.quantity_micro, "quantity", posting.lot.material.base_unit)
        place, lot = posting.from_location, posting.lot
        asked[lot.pk, place.pk] += posting.quantity_micro
        there = held.get((lot.pk, place.pk), 0)
        if asked[lot.pk, place.pk] > there and not place.may_go_below_zero:
            raise NotEnoughThere(
                location=place,
                lot=lot.code,
                held=shown(there, lot),
                asked=shown(asked[lot.pk, place.pk], lot),
                field="quantity",
            )


def refuse_a_second_lot(postings: Sequence[Posting]) -> None:
    """Raise VesselOccupied where a vessel would hold two lots."""
    filled: dict[int, Posting] = {}
    for posting in postings:
        if posting.to_location.holds_one_lot:
            _refuse_beside(filled.setdefault(posting.to_location_id, posting).lot, posting)
    if not filled:
        return
    leaving = {
        (posting.lot_id, posting.from_location_id): posting.quantity_micro
        for posting in postings
        if posting.from_location_id in filled
    }
    lying = Balance.objects.filter(location__in=filled, quantity_micro__gt=0).select_related("lot", "location")
    for balance in lying:
        stays = balance.quantity_micro - leaving.get((balance.lot_id, balance.location_id), 0)
        comes = filled[balance.location_id]
        if stays > 0:
            _refuse_beside(balance.lot, comes)


def _refuse_beside(held: Lot, comes: Posting) -> None:
    if comes.lot_id != held.pk:
        raise VesselOccupied(location=comes.to_location, held_lot=held.code, lot=comes.lot.code, field="location")


def refuse_over_capacity(postings: Sequence[Posting]) -> None:
    """Raise OverCapacity where a place with a known capacity, in the lot's unit, would hold more than it takes."""
    places = {
        posting.to_location_id: posting
        for posting in postings
        if posting.to_location.capacity_micro
        and posting.to_location.capacity_unit == posting.lot.material.base_unit
        and posting.from_location.kind != Location.Kind.COUNT_DIFFERENCE
    }
    if not places:
        return
    lying = Balance.objects.filter(location__in=places).values_list("location").annotate(sum=Sum("quantity_micro"))
    held = dict(lying)
    for key, posting in places.items():
        comes = sum(other.quantity_micro for other in postings if other.to_location_id == key)
        goes = sum(other.quantity_micro for other in postings if other.from_location_id == key)
        asked = held.get(key, 0) + comes - goes
        if comes > goes and asked > (posting.to_location.capacity_micro or 0):
            raise OverCapacity(
                location=posting.to_location,
                capacity=shown(posting.to_location.capacity_micro or 0, posting.lot),
                asked=shown(asked, posting.lot),
                field="quantity",
            )


def refuse_more_than_was_there_then(event: Event, postings: Sequence[Posting]) -> None:
    """Raise NotEnoughThen where an event told late would leave a place below zero at some past moment.

    Costs one look where nothing later is on record for these lots, which is nearly always.
    """
    lots = {posting.lot_id for posting in postings}
    later = Posting.objects.filter(lot__in=lots, event__happened_at__gt=event.happened_at)
    touched = set(later.values_list("lot", flat=True))
    for posting in postings:
        for place in (posting.from_location, posting.to_location):
            if posting.lot_id in touched and not place.may_go_below_zero:
                _refuse_a_low_point(event, postings, posting.lot, place)


def _refuse_a_low_point(event: Event, postings: Sequence[Posting], lot: Lot, place: Location) -> None:
    either = Q(from_location=place) | Q(to_location=place)
    rows = Posting.objects.filter(either, lot=lot).values_list("event__happened_at", "to_location", "quantity_micro")
    steps = [(moment, quantity if to == place.pk else -quantity) for moment, to, quantity in rows]
    for posting in postings:
        if posting.lot_id == lot.pk and place.pk in (posting.from_location_id, posting.to_location_id):
            sign = 1 if posting.to_location_id == place.pk else -1
            steps.append((event.happened_at, sign * posting.quantity_micro))
    running = 0
    for moment, group in groupby(sorted(steps, key=lambda step: step[0]), key=lambda step: step[0]):
        running += sum(quantity for _, quantity in group)
        if running < 0:
            raise NotEnoughThen(
                moment=on_the_wall(moment),
                location=place,
                lot=lot.code,
                shortfall=shown(-running, lot),
                field="happened_at",
            )


def refuse_a_second_lot_then(event: Event, postings: Sequence[Posting]) -> None:
    """Raise VesselOccupiedThen where an event told late would leave two lots in a vessel at some past moment.

    What left a tank before the dry hops is told apart from what left after them, whatever the order of the telling.
    """
    filled = {posting.to_location_id: posting.to_location for posting in postings if posting.to_location.holds_one_lot}
    for vessel in filled.values():
        at_it = Posting.objects.filter(Q(from_location=vessel) | Q(to_location=vessel))
        if at_it.filter(event__happened_at__gt=event.happened_at).exists():
            _refuse_company(event, postings, vessel)


def _refuse_company(event: Event, postings: Sequence[Posting], vessel: Location) -> None:
    rows = Posting.objects.filter(Q(from_location=vessel) | Q(to_location=vessel))
    columns = rows.values_list("event__happened_at", "lot", "to_location", "quantity_micro")
    steps = [*columns, *_told_now(event, postings, vessel)]
    held: dict[int, int] = defaultdict(int)
    for moment, group in groupby(sorted(steps), key=lambda step: step[0]):
        for _, lot, to, quantity in group:
            held[lot] += quantity if to == vessel.pk else -quantity
        beside = [lot for lot, quantity in held.items() if quantity > 0]
        if moment >= event.happened_at and len(beside) > 1:
            codes = Lot.objects.filter(pk__in=beside).order_by("pk").values_list("code", flat=True)
            raise VesselOccupiedThen(
                moment=on_the_wall(moment), location=vessel, lots=" and ".join(codes), field="happened_at"
            )


def _told_now(event: Event, postings: Sequence[Posting], vessel: Location) -> list[tuple[datetime, int, int, int]]:
    return [
        (event.happened_at, posting.lot_id, posting.to_location_id, posting.quantity_micro)
        for posting in postings
        if vessel.pk in (posting.from_location_id, posting.to_location_id)
    ]
