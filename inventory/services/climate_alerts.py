"""What is told of the climate of places: those that are out of their limits, and those whose loggers are silent."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.urls import reverse

from brewery.kernel.access import Role
from brewery.kernel.clock import on_the_wall
from inventory.models import Alert
from inventory.queries.climates import Climate, climate_of, watched_places
from inventory.services.alert_bells import Bell
from inventory.services.alerts import Cause, alerts_of

LOOKS_BACK = timedelta(days=7)
STRONGLY_C = 5.0
"""So far outside of the limits it is pressing: common practice, no source."""


@alerts_of("out_of_climate", "Too warm or too cold", after=(Bell.CLIMATE,))
def places_out_of_limits(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each place that is outside of its limits for longer than is tolerated, and is so still."""
    for climate in _climates(moment):
        out = climate.is_out
        if out:
            since = on_the_wall(out.start)
            words = (
                f"{climate.location.name} has been too {'warm' if out.is_warm else 'cold'} since {since}, at the worst "
                f"{out.worst_c:g} °C. What lies there goes off sooner than the record foresees if it stays."
            )
            yield _cause(climate, words, Alert.Severity.URGENT if _is_strong(climate) else Alert.Severity.WARNING)


@alerts_of("logger_silent", "Logger silent", after=(Bell.CLIMATE,))
def silent_loggers(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each place whose loggers have said nothing for longer than its limit allows."""
    for climate in _climates(moment):
        if climate.is_silent:
            since = on_the_wall(climate.silences[-1][0])
            words = f"Nothing was read in {climate.location.name} since {since}: look at its logger."
            yield _cause(climate, words, Alert.Severity.WARNING)


def _climates(moment: datetime) -> Iterator[Climate]:
    for place in watched_places():
        yield climate_of(place, moment - LOOKS_BACK, moment)


def _is_strong(climate: Climate) -> bool:
    out, limit = climate.is_out, climate.limit
    if out is None or limit is None:
        return False
    bound = limit.most_milli_c if out.is_warm else limit.least_milli_c
    return bound is not None and abs(out.worst_c - bound / 1000) >= STRONGLY_C


def _cause(climate: Climate, words: str, severity: Alert.Severity) -> Cause:
    place = climate.location
    address = reverse("climate", args=[place.pk])
    return Cause(f"place {place.pk}", words, Role.QUALITY, severity, address, location_id=place.pk)
