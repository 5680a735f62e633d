"""Climates of places: what was read, how long it was out of limits, and which lots lay there meanwhile."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import BooleanField, Exists, OuterRef, Q, QuerySet, Subquery, Value
from django.db.models.functions import Coalesce

from brewery.science.climate import Excursion, Stretch, excursions, gaps, mean_c, mean_kinetic_c, stretches_of
from inventory.models import ClimateCorrection, ClimateLimit, ClimateReading, Location, LogisticUnit, Lot, Posting

MILLI = 1000
MOST_READINGS = 20_000
"""So many readings are looked at at once: half a year of one logger that reads every quarter of an hour."""


@dataclass(frozen=True)
class Climate:
    """One place from a moment until another, by what of its loggers counts.

    `last` is what was read last before its end, be it long before its beginning; `limit` is what holds at the end.
    """

    location: Location
    since: datetime
    until: datetime
    readings: Sequence[ClimateReading]
    last: ClimateReading | None
    stretches: Sequence[Stretch]
    limit: ClimateLimit | None
    excursions: Sequence[Excursion]
    silences: Sequence[tuple[datetime, datetime]]

    @property
    def mean_c(self) -> float | None:
        """The mean over time."""
        return mean_c(self.stretches)

    @property
    def mean_kinetic_c(self) -> float | None:
        """The temperature at which as much would have decayed."""
        return mean_kinetic_c(self.stretches)

    @property
    def is_out(self) -> Excursion | None:
        """The excursion that lasts until the end, if one does."""
        last = self.excursions[-1] if self.excursions else None
        return last if last and last.end == self.until else None

    @property
    def is_silent(self) -> bool:
        """Whether nothing was read for longer than the limit allows, up to the end."""
        return bool(self.silences) and self.silences[-1][1] == self.until


def judged(rows: QuerySet[ClimateReading]) -> QuerySet[ClimateReading]:
    """Return the readings, each with whether it `counts` by the correction that was recorded last for its moment."""
    return rows.annotate(counts=_counts())


def counting(rows: QuerySet[ClimateReading]) -> QuerySet[ClimateReading]:
    """Return those of the readings that count."""
    return rows.filter(_counts())


def _counts() -> Coalesce:
    said = ClimateCorrection.objects.filter(
        location=OuterRef("location"),
        logger=OuterRef("logger"),
        first_at__lte=OuterRef("read_at"),
        last_at__gte=OuterRef("read_at"),
    ).order_by("-pk")
    return Coalesce(Subquery(said.values("counts")[:1]), Value(True), output_field=BooleanField())


def climate_of(place: Location, since: datetime, until: datetime) -> Climate:
    """Return the climate of a place; three statements. What held before the first reading counts from `since` on."""
    rows = counting(ClimateReading.objects.filter(location=place, read_at__lte=until))
    before = rows.filter(read_at__lt=since).order_by("-read_at", "-pk")[:1]
    inside = rows.filter(read_at__gte=since).order_by("-read_at", "-pk")[:MOST_READINGS]
    readings = [*reversed(inside)]
    told = [*before, *readings]
    held = [(since, row.milli_c / MILLI) for row in before]
    stretches = stretches_of([*held, *((row.read_at, row.milli_c / MILLI) for row in readings)], until)
    limit = _limit_at(place, until)
    return Climate(
        place,
        since,
        until,
        readings,
        told[-1] if told else None,
        stretches,
        limit,
        _excursions(stretches, limit),
        _silences([row.read_at for row in told], until, limit),
    )


def _limit_at(place: Location, moment: datetime) -> ClimateLimit | None:
    return ClimateLimit.objects.filter(location=place, since__lte=moment).order_by("-since", "-pk").first()


def _excursions(stretches: Sequence[Stretch], limit: ClimateLimit | None) -> list[Excursion]:
    if limit is None:
        return []
    least, most = (None if one is None else one / MILLI for one in (limit.least_milli_c, limit.most_milli_c))
    return excursions(stretches, least, most, timedelta(minutes=limit.tolerated_minutes))


def _silences(
    moments: Sequence[datetime], until: datetime, limit: ClimateLimit | None
) -> list[tuple[datetime, datetime]]:
    if limit is None or limit.silent_minutes is None:
        return []
    return gaps(moments, until, timedelta(minutes=limit.silent_minutes))


def watched_places() -> list[Location]:
    """Return the places that have limits or readings, by their codes."""
    limits = ClimateLimit.objects.filter(location=OuterRef("pk"))
    readings = ClimateReading.objects.filter(location=OuterRef("pk"))
    return list(Location.objects.filter(Exists(limits) | Exists(readings)).order_by("code"))


def lots_there(place: Location, since: datetime, until: datetime) -> list[Lot]:
    """Return the lots of which some came into the place, or onto a pallet that stands there, and was not gone before.

    What was reversed never was there.
    """
    places = [place.pk, *LogisticUnit.objects.filter(stands_in=place).values_list("location", flat=True)]
    moves = Posting.objects.filter(lot=OuterRef("pk"), event__reversed_by=None).exclude(event__kind="reverse")
    came = moves.filter(to_location__in=places, event__happened_at__lt=until)
    went = moves.filter(from_location__in=places).order_by("-event__happened_at")
    lots = Lot.objects.filter(Exists(came), reversed_by=None).select_related("material")
    last_out = Subquery(went.values("event__happened_at")[:1])
    held = Q(balances__location__in=places, balances__quantity_micro__gt=0)
    return list(lots.annotate(left_at=last_out).filter(held | Q(left_at__gt=since)).distinct().order_by("code"))
