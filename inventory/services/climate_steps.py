"""Steps of a climate: how warm a place was, told anew where readings came, or where some of them count no more.

What decays is reckoned by `Warmth`, which takes a new row only where a reading lies further than a band from the last:
a logger that reads every few minutes makes no history of thousands of equal steps. Half a degree is 2.3 % of the rate
by the law of hops, and 5 % by a Q10 of 2.5, at the most.
"""

from collections import deque
from collections.abc import Collection, Iterable, Mapping
from datetime import datetime
from typing import Any

from django.db.models import Exists, OuterRef

from brewery.kernel.database.sets import AT_ONCE
from inventory.models import ClimateCorrection, ClimateReading, Location, Warmth
from inventory.queries.climates import counting
from inventory.queries.warmths import Change, changes_from, latest, warmth_at

BAND_MILLI_C = 500


def locked(places: Collection[int]) -> list[Location]:
    """Return the places by their ids, locked, so that two who read or correct at once do not miss each other."""
    return list(Location.objects.filter(pk__in=places).order_by("pk").select_for_update(no_key=True))


def tell_anew(place: Location, first_at: datetime, last_at: datetime, by: Mapping[str, Any]) -> None:
    """Write what must be said of the place so that it is as the readings that count, and people, tell.

    From the first moment until the next change that came after the last: what follows was read against that one. `by`
    is who says so, when and by which request.
    """
    there = changes_from(place, first_at)
    end = next((since for since, _ in there if since > last_at), None)
    kept = [change for change in there if change[0] < first_at or (end and change[0] >= end)]
    known = latest([*kept, *_told(place, first_at, end)])
    readings = counting(_within(ClimateReading.objects.filter(location=place), "read_at", first_at, end))
    should = latest([*known, *_steps(place, known, readings.order_by("read_at", "pk"))])
    on_record, nominal = dict(there), place.nominal_milli_c
    moments = sorted({since for since, _ in [*there, *should]} - {since for since, _ in kept})
    anew = [(since, warmth_at(should, nominal, since)) for since in moments]
    Warmth.objects.bulk_create(
        (
            Warmth(location=place, since=since, milli_c=milli_c, **by)
            for since, milli_c in anew
            if since not in on_record or on_record[since] != milli_c
        ),
        batch_size=AT_ONCE,
    )


def _within(rows: Any, field: str, first_at: datetime, end: datetime | None) -> Any:
    rows = rows.filter(**{f"{field}__gte": first_at})
    return rows.filter(**{f"{field}__lt": end}) if end else rows


def _told(place: Location, first_at: datetime, end: datetime | None) -> list[Change]:
    """Return the changes that people told, not those that follow from readings or from corrections of them."""
    of_place = {"location": OuterRef("location"), "request": OuterRef("request")}
    read = Exists(ClimateReading.objects.filter(**of_place))
    corrected = Exists(ClimateCorrection.objects.filter(**of_place))
    rows = _within(Warmth.objects.filter(~read, ~corrected, location=place), "since", first_at, end)
    return [(row.since, row.milli_c) for row in rows.order_by("since", "pk")]


def _steps(place: Location, known: Iterable[Change], readings: Iterable[ClimateReading]) -> list[Change]:
    """Return what lies outside of the band round what the place was known to be kept at by then."""
    waiting = deque(known)
    steps: list[Change] = []
    before = place.nominal_milli_c
    for one in readings:
        while waiting and waiting[0][0] <= one.read_at:
            before = waiting.popleft()[1]
        if before is None or abs(one.milli_c - before) > BAND_MILLI_C:
            before = one.milli_c
            steps.append((one.read_at, before))
    return steps
