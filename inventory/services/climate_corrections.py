"""Corrections of climates: what a logger read wrongly does not count, and how warm it was is told by the rest."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import ClimateCorrection, ClimateReading, Location
from inventory.services.alert_bells import Bell, ring_for_alerts
from inventory.services.climate_steps import locked, tell_anew
from inventory.services.refusals import ReasonMissing
from inventory.services.stock import refuse_other_places


class NothingRead(DomainError):
    code = "nothing_read"
    title = "The logger read nothing then."
    template = "Logger {logger} read nothing in {place} from {first} through {last}."
    advice = "Name the logger as its readings do, and the moments of the first and the last that are meant."


@once("correct_climate", returns=ClimateCorrection)
def correct_climate(
    *,
    location: Location,
    logger: str,
    first_at: datetime,
    last_at: datetime,
    counts: bool,
    reason: str,
    actor: User,
    request_id: UUID,
) -> ClimateCorrection:
    """What the logger read in the place from the one moment through the other does not count, or `counts` again.

    How warm the place was kept is what the other readings and people say; what decayed there is reckoned anew.
    Raises WrongPlace, ReasonMissing, InvalidInput, NothingRead.
    """
    refuse_other_places(location, Location.ENTERED, "place of the brewery's own")
    if not reason.strip():
        raise ReasonMissing(what="A correction of the climate", field="reason")
    if last_at < first_at:
        raise InvalidInput(
            field="last_at", value=on_the_wall(last_at), problem="It must not be before the first moment."
        )
    (place,) = locked({location.pk})
    meant = ClimateReading.objects.filter(location=place, logger=logger, read_at__range=(first_at, last_at))
    if not meant.exists():
        spans = {"first": on_the_wall(first_at), "last": on_the_wall(last_at)}
        raise NothingRead(logger=logger, place=place.name, field="logger", **spans)
    moment = now()
    by = {"recorded_at": moment, "actor": actor, "request_id": request_id}
    said = {"first_at": first_at, "last_at": last_at, "counts": counts, "reason": reason}
    correction = ClimateCorrection.objects.create(location=place, logger=logger, **said, **by)
    tell_anew(place, first_at, last_at, by)
    ring_for_alerts(Bell.CLIMATE)
    return correction
