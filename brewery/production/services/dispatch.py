"""Dispatch: packaged beer goes out to customers, and some of it comes back."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from uuid import UUID

from brewery.kernel.clock import brewery_day, on_the_wall
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import CustomerOrder, CustomerReturn, Pick, Shipment
from brewery.production.queries.customer_orders import LineProgress, OrderProgress, open_picks
from brewery.production.queries.picking import LEAVES_FROM, short_life
from brewery.production.services.customer_orders import let_all_go, line_for, locked_order, refuse_not_open, touch
from brewery.production.services.dispatch_refusals import KeepsTooShort, MoreThanWanted, NoteNumberTaken, NothingPicked
from brewery.production.services.tanks import refuse_other_materials
from brewery.science.units import MICRO
from inventory.models import Event, Location, LogisticUnit, Lot, Material, Party
from inventory.queries.customers import minimum_days
from inventory.services.claims import refuse_contradicted
from inventory.services.pallets import everything_on, locked_pallet
from inventory.services.posting import recording
from inventory.services.refusals import ReasonMissing
from inventory.services.stock import Part, refuse_no_lines, refuse_other_places


@dataclass(frozen=True)
class Papers:
    """What goes with a shipment besides its delivery note, as people say it."""

    carrier: str = ""
    vehicle: str = ""
    driver: str = ""
    seal: str = ""


@once("ship", returns=Event)
def ship(
    *,
    customer: Party,
    note_number: str,
    parts: Sequence[Part],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str = "",
    short_life_reason: str = "",
    papers: Papers = Papers(),
) -> Event:
    """All parts are at the customer, or none is. Raises NothingToDo, WrongMaterial, WrongPlace, LotNotReleased,
    ClaimsContradicted where what it is made of contradicts what is claimed, KeepsTooShort where it keeps shorter than
    the customer asks and no reason is given, and the refusals of the ledger.
    """
    _refuse_short_life(customer, [part.lot for part in parts], brewery_day(happened_at), short_life_reason)
    event = _shipped(customer, note_number, parts, happened_at, actor, request_id, override_reason)
    _with_papers(event, papers, short_life_reason)
    return event


@once("ship_pallet", returns=Event)
def ship_pallet(
    *,
    customer: Party,
    note_number: str,
    unit: LogisticUnit,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str = "",
    short_life_reason: str = "",
) -> Event:
    """All that is on the pallet is at the customer. Raises what `ship` raises."""
    parts = everything_on(locked_pallet(unit))
    _refuse_short_life(customer, [part.lot for part in parts], brewery_day(happened_at), short_life_reason)
    event = _shipped(customer, note_number, parts, happened_at, actor, request_id, override_reason)
    _with_papers(event, Papers(), short_life_reason)
    return event


@once("ship_order", returns=Event)
def ship_order(
    *,
    order: CustomerOrder,
    note_number: str,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    papers: Papers = Papers(),
    override_reason: str = "",
    short_life_reason: str = "",
) -> Event:
    """All that is picked for the order is at the customer; what is not picked stays open. It is reserved no more.

    Where the event is reversed, the order is open again for all of it, and has to be picked again. Raises
    NothingPicked, NoteNumberTaken, and what `ship` raises; a reason given at picking for a short life still holds.
    """
    progress = locked_order(order)
    picks = list(open_picks().filter(line__order=progress.order).select_related("lot__material", "location"))
    if not picks:
        raise NothingPicked(order=progress.order.number, field="order")
    _refuse_note_number(note_number)
    customer = progress.order.customer
    unexplained = [one.lot for one in picks if not one.short_life_reason]
    day = max(progress.order.wanted_on, brewery_day(happened_at))
    _refuse_short_life(customer, unexplained, day, short_life_reason, even_unasked=True)
    let_all_go(progress.order, actor, request_id)
    event = _shipped(customer, note_number, _parts_of(picks), happened_at, actor, request_id, override_reason)
    shipment = _with_papers(event, papers, short_life_reason, progress.order)
    Pick.objects.filter(pk__in=[one.pk for one in picks]).update(shipment=shipment)
    touch(progress.order)
    return event


@once("report_shipment", returns=Event)
def report_shipment(
    *,
    order: CustomerOrder,
    note_number: str,
    parts: Sequence[Part],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    papers: Papers = Papers(),
    short_life_reason: str = "",
) -> Event:
    """All parts are at the customer of the order, told after the event: what left counts as picked when it left.

    What is picked for the order beside it stays so. Raises OrderNotOpen, NotOnTheOrder, MoreThanWanted,
    NoteNumberTaken, InvalidInput for a part of a package, and what `ship` raises.
    """
    progress = locked_order(order)
    refuse_not_open(progress)
    _refuse_note_number(note_number)
    lines = [line_for(progress, part.lot) for part in parts]
    _refuse_more_than_open(progress, lines, parts)
    customer = progress.order.customer
    _refuse_short_life(customer, [part.lot for part in parts], brewery_day(happened_at), short_life_reason)
    event = _shipped(customer, note_number, parts, happened_at, actor, request_id, "")
    shipment = _with_papers(event, papers, short_life_reason, progress.order)
    Pick.objects.bulk_create(
        Pick(
            line=one.line,
            lot=part.lot,
            location=part.location,
            count=part.quantity_micro // MICRO,
            short_life_reason=short_life_reason.strip(),
            picked_at=happened_at,
            actor=actor,
            request_id=request_id,
            shipment=shipment,
        )
        for one, part in zip(lines, parts, strict=True)
    )
    touch(progress.order)
    return event


def _refuse_more_than_open(progress: OrderProgress, lines: Sequence[LineProgress], parts: Sequence[Part]) -> None:
    left = {one.line.pk: one.open for one in lines}
    for one, part in zip(lines, parts, strict=True):
        count, rest = divmod(part.quantity_micro, MICRO)
        if rest:
            raise InvalidInput(field="quantity", value=part.quantity_micro / MICRO, problem="Packages leave whole.")
        left[one.line.pk] -= count
        if left[one.line.pk] < 0:
            raise MoreThanWanted(
                material=part.lot.material, open=one.open, order=progress.order.number, asked=count, field="count"
            )


def _parts_of(picks: Sequence[Pick]) -> list[Part]:
    counts: dict[tuple[Lot, Location], int] = defaultdict(int)
    for one in picks:
        counts[one.lot, one.location] += one.count
    return [Part(lot, location, count * MICRO) for (lot, location), count in counts.items()]


def _with_papers(event: Event, papers: Papers, short_life_reason: str, order: CustomerOrder | None = None) -> Shipment:
    return Shipment.objects.create(
        event=event,
        order=order,
        note_number=event.reference,
        short_life_reason=short_life_reason.strip(),
        **asdict(papers),
    )


def _refuse_note_number(number: str) -> None:
    """Raise where the delivery note has no number, or another shipment of an order had it."""
    if not number.strip():
        raise InvalidInput(field="note_number", value=number, problem="A delivery note has a number.")
    earlier = Shipment.objects.filter(note_number=number, order__isnull=False).select_related(
        "event", "order__customer"
    )
    for there in earlier:
        moment = on_the_wall(there.event.happened_at)
        customer = there.order.customer if there.order else ""
        raise NoteNumberTaken(number=number, moment=moment, customer=customer, field="note_number")


def _refuse_short_life(
    customer: Party, lots: Sequence[Lot], day: date, reason: str, *, even_unasked: bool = False
) -> None:
    """Raise KeepsTooShort; what the customer asks nothing about only where `even_unasked`, once it is past its day."""
    if reason.strip():
        return
    asked = minimum_days(customer, [lot.material for lot in lots])
    for lot in lots:
        days = asked[lot.material_id]
        because = short_life(lot, days, day) if even_unasked or days is not None else ""
        if because:
            raise KeepsTooShort(lot=lot.code, customer=customer, day=day.isoformat(), because=because, field="lot")


def _shipped(
    customer: Party,
    note_number: str,
    parts: Sequence[Part],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str,
) -> Event:
    refuse_no_lines(parts, "The shipment")
    for part in parts:
        refuse_other_places(part.location, LEAVES_FROM, "store or pallet")
        refuse_other_materials(part.lot, (Material.Kind.PACKAGED,), "packaged beer")
    # The recording below asks who overrides for the right to.
    refuse_contradicted([part.lot for part in parts], override_reason=override_reason)
    with recording(
        Event.Kind.SHIP,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        reference=note_number,
        uses=[part.lot for part in parts],
        override_reason=override_reason,
    ) as record:
        place = place_of(customer)
        for part in parts:
            record.post(record.lot(part.lot), from_=part.location, to=place, quantity_micro=part.quantity_micro)
    return record.event


@once("take_back", returns=Event)
def take_back(
    *,
    customer: Party,
    parts: Sequence[Part],
    reason: str,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    cause: str = CustomerReturn.Cause.OTHER,
) -> Event:
    """All parts lie in the stores they name again, back from the customer; they are proposed to nobody until somebody
    decides on them. Raises ReasonMissing, NothingToDo, WrongPlace, NotEnoughThere where the customer never had that
    much, and the refusals of the ledger.
    """
    refuse_no_lines(parts, "The return")
    if not reason:
        raise ReasonMissing(what="A return from a customer", field="reason")
    for part in parts:
        refuse_other_places(part.location, (Location.Kind.STORE,), "store")
    with recording(
        Event.Kind.TAKE_BACK,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        reason=reason,
        uses=[part.lot for part in parts],
    ) as record:
        place = place_of(customer)
        for part in parts:
            record.post(record.lot(part.lot), from_=place, to=part.location, quantity_micro=part.quantity_micro)
    CustomerReturn.objects.create(event=record.event, cause=cause)
    return record.event


def place_of(customer: Party) -> Location:
    """Return the location that stands for what a customer holds."""
    return Location.objects.get(party=customer, kind=Location.Kind.CUSTOMER)
