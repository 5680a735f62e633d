"""What duty must be told: how places and parties stand, and what a shipment was for."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import brewery_day, now, on_the_wall
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Balance, Event, Location, Material, Party, Posting
from traceability.models import DutyClosing, DutyPurpose, DutyStanding
from traceability.queries.duty_lines import HERE

BEER = (Material.Kind.BEER, Material.Kind.PACKAGED)


class PeriodIsClosed(DomainError):
    code = "duty_period_is_closed"
    title = "The duty period is closed."
    template = "{what} of {moment} lies in a period that was closed under {scheme}: {first} to {last}."
    advice = "Amend the period, or date it after it."


class BeerLiesThere(DomainError):
    code = "beer_lies_there"
    title = "Beer lies in the place."
    template = "Beer lay in {place} at {moment} or since."
    advice = "Move the beer out first, and choose a later moment: so each litre crosses the line in a posting."


@once("tell_standing", returns=DutyStanding)
def tell_standing(
    *,
    standing: str,
    since: datetime,
    actor: User,
    request_id: UUID,
    place: Location | None = None,
    party: Party | None = None,
) -> DutyStanding:
    """The place or the party stands so to duty from `since` on.

    Raises InvalidInput, BeerLiesThere where the place held beer then or holds some since, PeriodIsClosed.
    """
    if (place is None) == (party is None):
        raise InvalidInput(field="place", value=place, problem="Name a place or a party, one of them.")
    if standing not in DutyStanding.Standing.values:
        choices = ", ".join(DutyStanding.Standing.values)
        raise InvalidInput(field="standing", value=standing, problem=f"It is one of {choices}.")
    if place is not None:
        _refuse_place(place, standing, since)
    refuse_closed("The standing", since)
    told = {"standing": standing, "since": since, "told_at": now()}
    return DutyStanding.objects.create(place=place, party=party, actor=actor, request_id=request_id, **told)


@once("tell_purpose", returns=DutyPurpose)
def tell_purpose(*, event: Event, purpose: str, actor: User, request_id: UUID) -> DutyPurpose:
    """The shipment was for this; what was told of it before counts no longer. Raises InvalidInput, PeriodIsClosed."""
    if event.kind != Event.Kind.SHIP:
        raise InvalidInput(
            field="event", value=event.pk, problem=f"It is a {event.get_kind_display()}: choose a shipment."
        )
    if purpose not in DutyPurpose.Purpose.values:
        choices = ", ".join(DutyPurpose.Purpose.values)
        raise InvalidInput(field="purpose", value=purpose, problem=f"It is one of {choices}.")
    refuse_closed("The shipment", event.happened_at, only_that_day=True)
    return DutyPurpose.objects.create(event=event, purpose=purpose, told_at=now(), actor=actor, request_id=request_id)


def refuse_closed(what: str, moment: datetime, *, only_that_day: bool = False) -> None:
    """Raise PeriodIsClosed where a closed period ends on the day of the moment or later; or holds that day."""
    day = brewery_day(moment)
    closed = DutyClosing.objects.filter(last__gte=day).order_by("first")
    if only_that_day:
        closed = closed.filter(first__lte=day)
    found = closed.first()
    if found is not None:
        raise PeriodIsClosed(
            what=what,
            moment=on_the_wall(moment),
            scheme=found.scheme,
            first=found.first,
            last=found.last,
            field="since",
        )


def _refuse_place(place: Location, standing: str, since: datetime) -> None:
    is_here = place.kind in HERE
    if not is_here or standing == DutyStanding.Standing.ABROAD:
        problem = "It is a place of the brewery: in bond or duty paid."
        if not is_here:
            problem = "What lies there is on hand nowhere: of a supplier or customer, name the party instead."
        raise InvalidInput(field="place", value=place.code, problem=problem)
    of_beer = Posting.objects.filter(lot__material__kind__in=BEER, event__happened_at__gte=since)
    lies = Balance.objects.held().filter(location=place, lot__material__kind__in=BEER)
    moved = of_beer.filter(from_location=place) | of_beer.filter(to_location=place)
    if lies.exists() or moved.exists():
        raise BeerLiesThere(place=place, moment=on_the_wall(since), field="place")
