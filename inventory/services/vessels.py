"""Vessels in the register: out of service and back, and whether one must be cleaned between two uses."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Location, ServiceMark
from inventory.queries.vessels import state_of
from inventory.services.checks import refuse_the_future
from inventory.services.cleanings import lock_vessel, refuse_in_use
from inventory.services.refusals import ReasonMissing
from inventory.services.registers import refuse_cleaning_of_others
from inventory.services.stock import refuse_other_places


class MarkedAlready(DomainError):
    code = "marked_already"
    title = "The vessel is that already."
    template = "At {moment}, {location} is {words} already."
    advice = "Look at it again."


@once("take_out_of_service", returns=ServiceMark)
def take_out_of_service(
    *, vessel: Location, reason: str, happened_at: datetime, actor: User, request_id: UUID
) -> ServiceMark:
    """Nothing can be filled into the vessel from `happened_at` on.

    Raises ReasonMissing, WrongPlace, InTheFuture, VesselInUse while something lies in it, MarkedAlready.
    """
    if not reason:
        raise ReasonMissing(what="Taking a vessel out of service", field="reason")
    refuse_in_use(vessel, happened_at)
    return _mark(vessel, True, reason, happened_at, actor, request_id)


@once("put_back_into_service", returns=ServiceMark)
def put_back_into_service(
    *, vessel: Location, reason: str, happened_at: datetime, actor: User, request_id: UUID
) -> ServiceMark:
    """The vessel can be filled again from `happened_at` on, once it is clean.

    Raises ReasonMissing, WrongPlace, InTheFuture, MarkedAlready.
    """
    if not reason:
        raise ReasonMissing(what="Putting a vessel back into service", field="reason")
    refuse_other_places(vessel, Location.VESSELS, "tank, brink or silo", "vessel")
    refuse_the_future(happened_at)
    lock_vessel(vessel)
    return _mark(vessel, False, reason, happened_at, actor, request_id)


@once("set_cleaning_rule", returns=Location)
def set_cleaning_rule(*, vessel: Location, must_be_cleaned: bool, actor: User, request_id: UUID) -> Location:
    """The vessel must be cleaned between two uses, or need not; what went in before is looked at by the new rule.

    Raises InvalidInput for what is no vessel.
    """
    refuse_cleaning_of_others(vessel.kind, must_be_cleaned)
    lock_vessel(vessel)
    Location.objects.filter(pk=vessel.pk).update(must_be_cleaned=must_be_cleaned)
    return Location.objects.get(pk=vessel.pk)


def _mark(
    vessel: Location, is_out: bool, reason: str, happened_at: datetime, actor: User, request_id: UUID
) -> ServiceMark:
    mark = state_of(vessel, happened_at).mark
    if is_out == bool(mark and mark.is_out):
        words = "out of service" if is_out else "in service"
        raise MarkedAlready(moment=on_the_wall(happened_at), location=vessel, words=words, field="happened_at")
    return ServiceMark.objects.create(
        vessel=vessel,
        is_out=is_out,
        reason=reason,
        happened_at=happened_at,
        recorded_at=now(),
        actor=actor,
        request_id=request_id,
    )
