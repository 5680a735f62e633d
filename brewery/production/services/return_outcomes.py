"""What becomes of what came back: in stock again, destroyed, or tipped back into a tank."""

from datetime import datetime
from fractions import Fraction
from uuid import UUID, uuid5

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import CustomerReturn, ReturnOutcome
from brewery.production.queries.returned import lines_of, returns_in_full
from brewery.production.services.dispatch_refusals import MoreThanCameBack, MoreThanTheyHold
from brewery.production.services.tanks import (
    BREWED,
    highest_generation,
    refuse_other_than_tanks,
    whole_contents,
)
from brewery.science.units import MICRO, format_micro
from inventory.models import Event, Location, Lot, Material
from inventory.queries.contents import contents_of
from inventory.services.checks import refuse_not_positive
from inventory.services.disposals import destroy
from inventory.services.mixing import Mixture, mix
from inventory.services.moves import move_stock
from inventory.services.posting import Recording, recording
from inventory.services.refusals import ReasonMissing, WrongMaterial
from inventory.services.registers import boundary
from inventory.services.stock import Part, refuse_other_places

Kind = ReturnOutcome.Kind


@once("restock_returned", returns=ReturnOutcome)
def restock_returned(
    *,
    customer_return: CustomerReturn,
    lot: Lot,
    location: Location,
    count: int,
    to_location: Location,
    reason: str,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
) -> ReturnOutcome:
    """So many of what came back lie in another store and are proposed again. Raises ReasonMissing, MoreThanCameBack,
    WrongPlace, and the refusals of the ledger.
    """
    _refuse(customer_return, lot, location, count, reason)
    refuse_other_places(to_location, (Location.Kind.STORE,), "store", "to_location")
    event = move_stock(
        lot=lot,
        from_location=location,
        to_location=to_location,
        quantity_micro=count * MICRO,
        reason=reason,
        happened_at=happened_at,
        actor=actor,
        request_id=uuid5(request_id, "move"),
    )
    return _outcome(customer_return, lot, location, Kind.RESTOCK, count, event)


@once("destroy_returned", returns=ReturnOutcome)
def destroy_returned(
    *,
    customer_return: CustomerReturn,
    lot: Lot,
    location: Location,
    count: int,
    reason: str,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    beer_micro: int | None = None,
) -> ReturnOutcome:
    """So many of what came back are destroyed; `beer_micro` is the beer that was in them where it was measured.

    Raises ReasonMissing, MoreThanCameBack, MoreThanTheyHold, and the refusals of the ledger.
    """
    _refuse(customer_return, lot, location, count, reason)
    if beer_micro is not None:
        _refuse_volume(lot, count, beer_micro)
    event = destroy(
        lot=lot,
        location=location,
        quantity_micro=count * MICRO,
        reason=reason,
        happened_at=happened_at,
        actor=actor,
        request_id=uuid5(request_id, "destroy"),
    )
    return _outcome(customer_return, lot, location, Kind.DESTROY, count, event, beer_micro)


@once("rework_returned", returns=ReturnOutcome)
def rework_returned(
    *,
    customer_return: CustomerReturn,
    lot: Lot,
    location: Location,
    count: int,
    vessel: Location,
    beer_micro: int,
    contents_code: str,
    reason: str,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    material: Material | None = None,
    override_reason: str = "",
) -> ReturnOutcome:
    """The beer of so many is tipped into the tank, which then holds a new lot of it and of what it held before.

    What they held and did not go in is lost. An empty tank takes the `material` that is named. Raises ReasonMissing,
    MoreThanCameBack, MoreThanTheyHold, WrongPlace, WrongMaterial, and the refusals of the ledger.
    """
    _refuse(customer_return, lot, location, count, reason)
    refuse_other_than_tanks(vessel)
    refuse_not_positive(beer_micro, "beer", "L")
    full = _refuse_volume(lot, count, beer_micro)
    held = contents_of(vessel)
    becomes = held.material if held else _refuse_not_beer(material)
    # The kegs are shared out as the beer was: what went across is linked, the rest is lost.
    across = round(Fraction(count * MICRO * beer_micro, full))
    refuse_not_positive(across, "beer", "each")
    with recording(
        Event.Kind.REWORK,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        reason=reason,
        uses=[lot, held] if held else [lot],
        override_reason=override_reason,
    ) as record:
        parts = _tipped(record, held, vessel, Part(lot, location, across))
        total = beer_micro + sum(part.quantity_micro for part in parts[:-1])
        generation = highest_generation(record.lot(held)) if held else None
        mix(record, parts, Mixture(contents_code, becomes, total, vessel, generation=generation))
        if lost := count * MICRO - across:
            record.post(record.lot(lot), from_=location, to=boundary(Location.Kind.LOSS), quantity_micro=lost)
    return _outcome(customer_return, lot, location, Kind.REWORK, count, record.event, beer_micro)


def _tipped(record: Recording, held: Lot | None, vessel: Location, part: Part) -> list[Part]:
    return [whole_contents(record, record.lot(held), vessel), part] if held else [part]


def _outcome(
    customer_return: CustomerReturn,
    lot: Lot,
    location: Location,
    kind: ReturnOutcome.Kind,
    count: int,
    event: Event,
    beer_micro: int | None = None,
) -> ReturnOutcome:
    return ReturnOutcome.objects.create(
        customer_return=customer_return,
        lot=lot,
        location=location,
        kind=kind,
        count=count,
        beer_micro=beer_micro,
        event=event,
    )


def _refuse(customer_return: CustomerReturn, lot: Lot, location: Location, count: int, reason: str) -> None:
    """Raise ReasonMissing, InvalidInput, MoreThanCameBack; two who decide on one return take turns."""
    if not reason.strip():
        raise ReasonMissing(what="What becomes of a return", field="reason")
    if count <= 0:
        raise InvalidInput(field="count", value=count, problem="Give 1 or more.")
    # The row of a return never changes, so its event is what they wait for.
    Event.objects.select_for_update().get(pk=customer_return.event_id)
    there = returns_in_full().filter(pk=customer_return.pk).first()
    lines = lines_of(there) if there else []
    waiting = sum(line.undecided for line in lines if (line.lot, line.location) == (lot, location))
    if count > waiting:
        raise MoreThanCameBack(lot=lot.code, location=location, waiting=waiting, asked=count, field="count")


def _refuse_volume(lot: Lot, count: int, beer_micro: int) -> int:
    """Return what so many hold when full. Raises MoreThanTheyHold."""
    full = count * int(lot.material.contents_micro or 0)
    if not 0 <= beer_micro <= full:
        raise MoreThanTheyHold(
            count=count,
            material=lot.material,
            full=f"{format_micro(full, 'L')} L",
            asked=f"{format_micro(beer_micro, 'L')} L",
            field="beer",
        )
    return full


def _refuse_not_beer(material: Material | None) -> Material:
    if material is None:
        raise InvalidInput(field="material", value="", problem="The tank is empty: say which beer it is now.")
    if material.kind not in BREWED:
        kind = material.get_kind_display()
        raise WrongMaterial(lot=material.name, kind=kind, wanted="beer or wort", field="material")
    return material
