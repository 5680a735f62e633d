"""Pallets: made under an SSCC, loaded, moved as one, taken apart.

A pallet is a place of the ledger, so what lies on it is a balance like any other. Moving the pallet posts nothing: the
lots lie where they lay, on the pallet, which stands elsewhere.
"""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.db import IntegrityError, transaction

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.science import gs1
from inventory.models import Balance, Event, Location, LogisticUnit, UnitMove
from inventory.services.checks import refuse_the_future
from inventory.services.posting import recording
from inventory.services.stock import Part, refuse_no_lines, refuse_other_places

SHOWN_DIGITS = 6
"""The end of an SSCC, which tells the pallets of one brewery apart for people."""

NUMBERS_TRIED = 20


class MovedLater(DomainError):
    code = "pallet_moved_later"
    title = "The pallet was moved after that."
    template = "Pallet {sscc} was made or moved at {later}, after {moment}."
    advice = "Give a later time."


@once("make_pallet", returns=LogisticUnit)
def make_pallet(
    *, stands_in: Location, made_at: datetime, actor: User, request_id: UUID, sscc: str = ""
) -> LogisticUnit:
    """An empty pallet stands in the store, under its own SSCC or the next of the brewery's.

    Raises InvalidInput for a wrong or taken SSCC, WrongPlace, InTheFuture.
    """
    return enter_pallet(stands_in=stands_in, made_at=made_at, request_id=request_id, sscc=sscc)


def enter_pallet(*, stands_in: Location, made_at: datetime, request_id: UUID, sscc: str = "") -> LogisticUnit:
    """As make_pallet, inside the transaction and under the request of another service: a delivery, say."""
    refuse_other_places(stands_in, (Location.Kind.STORE,), "store", "stands_in")
    refuse_the_future(made_at, "made_at")
    if sscc:
        _refuse_wrong_sscc(sscc)
        return _entered(sscc, stands_in, made_at, request_id)
    for _ in range(NUMBERS_TRIED):
        try:
            with transaction.atomic():
                return _entered(_next_sscc(), stands_in, made_at, request_id)
        except IntegrityError:
            # Somebody else made a pallet under this number meanwhile.
            continue
    raise InvalidInput(field="sscc", value=sscc, problem="Too many pallets are made at once; try again.")


def _entered(sscc: str, stands_in: Location, made_at: datetime, request_id: UUID) -> LogisticUnit:
    place = Location.objects.create(code=sscc, name=f"Pallet …{sscc[-SHOWN_DIGITS:]}", kind=Location.Kind.PALLET)
    return LogisticUnit.objects.create(
        sscc=sscc, location=place, stands_in=stands_in, made_at=made_at, request_id=request_id
    )


def _refuse_wrong_sscc(sscc: str) -> None:
    if len(sscc) != gs1.SSCC_LENGTH or not gs1.has_right_check_digit(sscc):
        raise InvalidInput(field="sscc", value=sscc, problem="An SSCC has 18 digits, the last one its check digit.")
    if Location.objects.filter(code=sscc).exists():
        raise InvalidInput(field="sscc", value=sscc, problem="This pallet is on record already.")


def _next_sscc() -> str:
    """Return the SSCC after the last one under the brewery's prefix; none is ever given twice."""
    prefix = settings.GS1_COMPANY_PREFIX
    last = LogisticUnit.objects.filter(sscc__startswith=f"0{prefix}").order_by("-sscc").first()
    return gs1.sscc(prefix, int(last.sscc[1 + len(prefix) : -1]) + 1 if last else 1)


@once("load_pallet", returns=Event)
def load_pallet(
    *, unit: LogisticUnit, parts: Sequence[Part], happened_at: datetime, actor: User, request_id: UUID
) -> Event:
    """All parts lie on the pallet, or none does. Raises NothingToDo, WrongPlace, and the refusals of the ledger."""
    refuse_no_lines(parts, "The load")
    pallet = locked_pallet(unit)
    _refuse_before(pallet, happened_at, pallet.made_at)
    for part in parts:
        refuse_other_places(part.location, (Location.Kind.STORE, Location.Kind.PALLET), "store or another pallet")
        if part.location == pallet.location:
            raise InvalidInput(field="location", value=part.location.code, problem="It lies on this pallet already.")
    with recording(
        Event.Kind.MOVE,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        uses=[part.lot for part in parts],
        reference=pallet.sscc,
    ) as record:
        for part in parts:
            record.post(
                record.lot(part.lot), from_=part.location, to=pallet.location, quantity_micro=part.quantity_micro
            )
    return record.event


@once("unload_pallet", returns=Event)
def unload_pallet(
    *,
    unit: LogisticUnit,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    parts: Sequence[Part] = (),
    to_location: Location | None = None,
) -> Event:
    """The parts, or all that is on the pallet, lie in `to_location`, or in the store where the pallet stands.

    Raises NothingToDo, WrongPlace, and the refusals of the ledger.
    """
    pallet = locked_pallet(unit)
    place = to_location or pallet.stands_in
    refuse_other_places(place, (Location.Kind.STORE,), "store", "to_location")
    parts = parts or everything_on(pallet)
    refuse_no_lines(parts, "The pallet")
    for part in parts:
        if part.location != pallet.location:
            raise InvalidInput(field="location", value=part.location.code, problem="This is not the pallet.")
    with recording(
        Event.Kind.MOVE,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        uses=[part.lot for part in parts],
        reference=pallet.sscc,
    ) as record:
        for part in parts:
            record.post(record.lot(part.lot), from_=pallet.location, to=place, quantity_micro=part.quantity_micro)
    return record.event


@once("move_pallet", returns=UnitMove)
def move_pallet(
    *, unit: LogisticUnit, to_location: Location, happened_at: datetime, actor: User, request_id: UUID
) -> UnitMove:
    """The pallet stands in another store, with all that is on it. No lot moves in the ledger.

    Raises WrongPlace, InvalidInput where it stands there already, InTheFuture, MovedLater.
    """
    refuse_other_places(to_location, (Location.Kind.STORE,), "store", "to_location")
    refuse_the_future(happened_at, "happened_at")
    pallet = locked_pallet(unit)
    if pallet.stands_in == to_location:
        raise InvalidInput(field="to_location", value=to_location.code, problem="The pallet stands there already.")
    last = UnitMove.objects.filter(unit=pallet).last()
    _refuse_before(pallet, happened_at, last.happened_at if last else pallet.made_at)
    move = UnitMove.objects.create(
        unit=pallet,
        from_location=pallet.stands_in,
        to_location=to_location,
        happened_at=happened_at,
        recorded_at=now(),
        actor=actor,
        request_id=request_id,
    )
    LogisticUnit.objects.filter(pk=pallet.pk).update(stands_in=to_location)
    return move


def _refuse_before(pallet: LogisticUnit, moment: datetime, earliest: datetime) -> None:
    if moment < earliest:
        raise MovedLater(sscc=pallet.sscc, later=on_the_wall(earliest), moment=on_the_wall(moment), field="happened_at")


def locked_pallet(unit: LogisticUnit) -> LogisticUnit:
    """Return the pallet's row, fresh and locked: one person at a time loads, moves or ships it."""
    rows = LogisticUnit.objects.select_for_update(of=("self",)).select_related("location", "stands_in")
    return rows.get(pk=unit.pk)


def everything_on(unit: LogisticUnit) -> list[Part]:
    """Return all that lies on the pallet."""
    rows = Balance.objects.filter(location=unit.location, quantity_micro__gt=0).select_related("lot__material")
    return [Part(row.lot, unit.location, row.quantity_micro) for row in rows.order_by("lot")]
