"""Cleanings: a vessel is clean from then on until it is filled; one entered by mistake is withdrawn."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Cleaning, Location
from inventory.queries.vessels import VesselState, state_of
from inventory.services.checks import refuse_the_future
from inventory.services.refusals import ReasonMissing, VesselInUse
from inventory.services.stock import refuse_other_places


class CleaningWithdrawn(DomainError):
    code = "cleaning_withdrawn"
    title = "The cleaning is withdrawn already."
    template = "The cleaning of {location} at {moment} was withdrawn already, or is itself a withdrawal."
    advice = "Enter a cleaning that was done as a new one."


@once("clean_vessel", returns=Cleaning)
def clean_vessel(
    *, vessel: Location, programme: str, happened_at: datetime, actor: User, request_id: UUID, remark: str = ""
) -> Cleaning:
    """The vessel is clean from `happened_at` until something goes in again.

    Raises WrongPlace for what is no tank, brink or silo, InvalidInput without a programme, InTheFuture, and VesselInUse
    where something lay in it then.
    """
    if not programme:
        raise InvalidInput(field="programme", value="", problem="Say how it was cleaned.")
    refuse_in_use(vessel, happened_at)
    return Cleaning.objects.create(
        vessel=vessel,
        programme=programme,
        remark=remark,
        happened_at=happened_at,
        recorded_at=now(),
        actor=actor,
        request_id=request_id,
    )


@once("withdraw_cleaning", returns=Cleaning)
def withdraw_cleaning(*, cleaning: Cleaning, reason: str, actor: User, request_id: UUID) -> Cleaning:
    """The cleaning counts as never done; what went in since stays as it is, and the audits name it.

    Raises ReasonMissing, CleaningWithdrawn.
    """
    if not reason:
        raise ReasonMissing(what="The withdrawal of a cleaning", field="reason")
    lock_vessel(cleaning.vessel)
    if not Cleaning.objects.standing().filter(pk=cleaning.pk).exists():
        raise CleaningWithdrawn(location=cleaning.vessel, moment=on_the_wall(cleaning.happened_at), field="cleaning")
    return Cleaning.objects.create(
        vessel=cleaning.vessel,
        programme=cleaning.programme,
        remark=reason,
        withdraws=cleaning,
        happened_at=cleaning.happened_at,
        recorded_at=now(),
        actor=actor,
        request_id=request_id,
    )


def lock_vessel(vessel: Location) -> None:
    """Whoever fills, cleans or marks the vessel takes turns from here on."""
    Location.objects.select_for_update(no_key=True).get(pk=vessel.pk)


def refuse_in_use(vessel: Location, happened_at: datetime) -> VesselState:
    """Lock the vessel and return what it was then. Raises WrongPlace, InTheFuture, VesselInUse."""
    refuse_other_places(vessel, Location.VESSELS, "tank, brink or silo", "vessel")
    refuse_the_future(happened_at)
    lock_vessel(vessel)
    state = state_of(vessel, happened_at)
    if state.contents:
        raise VesselInUse(
            moment=on_the_wall(happened_at),
            location=vessel,
            held_lot=state.contents[0].lot.code,
            field="happened_at",
        )
    return state
