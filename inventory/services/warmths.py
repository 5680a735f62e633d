"""How warm a place is kept: set anew from a moment on, never for the time before."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.science.storage import TEMPERATURE_C
from inventory.models import Location, Warmth
from inventory.services.checks import refuse_the_future
from inventory.services.stock import refuse_other_places


@once("keep_place_at", returns=Warmth)
def keep_place_at(*, location: Location, milli_c: int | None, since: datetime, actor: User, request_id: UUID) -> Warmth:
    """From that moment on the place is kept so warm, in thousandths of a degree Celsius; None: nobody knows.

    What lay there before keeps the history that it had. Raises WrongPlace for what is no place of the brewery's own,
    InTheFuture, InvalidInput.
    """
    refuse_other_places(location, Location.ENTERED, "place of the brewery's own")
    refuse_no_temperature(milli_c)
    refuse_the_future(since, "since")
    return Warmth.objects.create(
        location=location, since=since, milli_c=milli_c, recorded_at=now(), actor=actor, request_id=request_id
    )


def refuse_no_temperature(milli_c: int | None, field: str = "temperature_c") -> None:
    """Raise InvalidInput unless a store could be so warm, or it is not known."""
    if milli_c is not None and milli_c / 1000 not in TEMPERATURE_C:
        raise InvalidInput(field=field, value=milli_c / 1000, problem=f"Give {TEMPERATURE_C}.")
