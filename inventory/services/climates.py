"""Climates of places: what loggers read is on record, and so are the limits that a place must keep to."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.database.sets import AT_ONCE
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.kernel.tables.cells import CODE, LOGGED_MOMENT, BadCell, Form
from brewery.kernel.tables.columns import Column
from brewery.kernel.tables.problems import Problem
from brewery.science.storage import TEMPERATURE_C
from brewery.science.typed import with_point
from inventory.models import ClimateLimit, ClimateReading, Location
from inventory.services.alert_bells import Bell, ring_for_alerts
from inventory.services.attachments import FileTooLarge
from inventory.services.checks import refuse_the_future
from inventory.services.climate_steps import locked, tell_anew
from inventory.services.delivery_files import LARGEST_BYTES, LONGEST_NAME, file_refused, named_in, rows_of
from inventory.services.stock import refuse_no_lines, refuse_other_places
from inventory.services.warmths import refuse_no_temperature

MILLI = 1000
MOST_READINGS = 50_000
LONGEST_MINUTES = 60 * 24 * 30


class OtherReading(DomainError):
    code = "other_reading"
    title = "The logger read something else at that moment."
    template = "Logger {logger} read {there} °C in {place} at {moment}, not {told} °C."
    advice = "A reading is never changed: if the logger was wrong, say on the place's page that it does not count."


class ReadAlready(DomainError):
    code = "read_already"
    title = "All of it is on record already."
    template = "Every one of the {count} readings is on record already."
    advice = "Nothing was added."


@dataclass(frozen=True)
class Logged:
    """What a logger read in a place at a moment, in thousandths of a degree Celsius."""

    location: Location
    logger: str
    read_at: datetime
    milli_c: int


@once("take_climate_readings", returns=ClimateReading)
def take_climate_readings(*, readings: Sequence[Logged], actor: User, request_id: UUID) -> ClimateReading:
    """The readings are on record; those that are there already are not written again. Returns the first that is new.

    Raises NothingToDo, OtherReading, ReadAlready, WrongPlace, InTheFuture, InvalidInput.
    """
    return _take(readings, actor, request_id)


def _take(readings: Sequence[Logged], actor: User, request_id: UUID) -> ClimateReading:
    refuse_no_lines(readings, "What was read")
    for index, one in enumerate(readings):
        _refuse(index, one)
    fresh = _not_on_record(readings)
    if not fresh:
        raise ReadAlready(count=len(readings), field="readings")
    moment = now()
    rows = ClimateReading.objects.bulk_create(
        (
            ClimateReading(
                location=one.location,
                logger=one.logger,
                read_at=one.read_at,
                milli_c=one.milli_c,
                recorded_at=moment,
                actor=actor,
                request_id=request_id,
            )
            for one in fresh
        ),
        batch_size=AT_ONCE,
    )
    ring_for_alerts(Bell.CLIMATE)
    by = {"recorded_at": moment, "actor": actor, "request_id": request_id}
    for place in locked({one.location.pk for one in fresh}):
        moments = [one.read_at for one in fresh if one.location == place]
        tell_anew(place, moments[0], moments[-1], by)
    return rows[0]


def _refuse(index: int, one: Logged) -> None:
    field = f"readings[{index}]"
    refuse_other_places(one.location, Location.ENTERED, "place of the brewery's own", f"{field}.location")
    refuse_the_future(one.read_at, f"{field}.read_at")
    if not one.logger.strip():
        raise InvalidInput(field=f"{field}.logger", value=one.logger, problem="Name the logger.")
    refuse_no_temperature(one.milli_c, f"{field}.temperature_c")


def _not_on_record(readings: Sequence[Logged]) -> list[Logged]:
    """Return those that are new, in order of time. Raises OtherReading for what contradicts one that is there."""
    moments = [one.read_at for one in readings]
    rows = ClimateReading.objects.filter(
        location__in={one.location.pk for one in readings}, read_at__range=(min(moments), max(moments))
    )
    there = {(row.location_id, row.logger, row.read_at): row.milli_c for row in rows}
    fresh: list[Logged] = []
    for index, one in enumerate(readings):
        key = (one.location.pk, one.logger, one.read_at)
        if key not in there:
            there[key] = one.milli_c
            fresh.append(one)
        elif there[key] != one.milli_c:
            raise OtherReading(
                logger=one.logger,
                place=one.location.name,
                moment=on_the_wall(one.read_at),
                there=there[key] / MILLI,
                told=one.milli_c / MILLI,
                field=f"readings[{index}]",
            )
    return sorted(fresh, key=lambda one: one.read_at)


def _degrees(cell: str) -> int:
    try:
        celsius = float(with_point(cell))
    except ValueError as wrong:
        raise BadCell(f"{cell!r} is no temperature; write a plain decimal, such as 3.5.") from wrong
    if celsius not in TEMPERATURE_C:
        raise BadCell(f"{cell} °C is none of a store: give {TEMPERATURE_C}.")
    return round(celsius * MILLI)


COLUMNS = (
    Column("place", CODE),
    Column("time", LOGGED_MOMENT),
    Column("celsius", Form("plain decimal, °C", _degrees)),
)
"""What a logger's file tells; its first line names the columns, in any order."""


def read_in_climate_file(*, name: str, content: bytes, logger: str, actor: User, request_id: UUID) -> ClimateReading:
    """Every line of the file is a reading of the logger, or none is. Returns the first that is new.

    Raises FileRefused with each fault by line, column and value, FileTooLarge, and what `take_climate_readings` raises.
    """
    shown = name[:LONGEST_NAME] or "The file"
    if len(content) > LARGEST_BYTES:
        raise FileTooLarge(name=shown, size=len(content), most=LARGEST_BYTES, field="file")
    rows = rows_of(shown, content, COLUMNS)
    places = named_in(Location.objects.filter(kind__in=Location.ENTERED), rows, "place")
    problems = [
        Problem(shown, row.line, "place", "There is no place of this code.", row["place"])
        for row in rows
        if row["place"] not in places
    ]
    if len(rows) > MOST_READINGS:
        problems.append(Problem(shown, 0, "", f"It holds {len(rows)} readings; split it into {MOST_READINGS} at most."))
    if problems:
        raise file_refused(shown, sorted(problems))

    @once("read_in_climate_file", returns=ClimateReading)
    def read_in(*, name: str, logger: str, sha256: str, actor: User, request_id: UUID) -> ClimateReading:
        readings = [Logged(places[row["place"]], logger, row["time"], row["celsius"]) for row in rows]
        return _take(readings, actor, request_id)

    digest = hashlib.sha256(content).hexdigest()
    return read_in(name=shown, logger=logger, sha256=digest, actor=actor, request_id=request_id)


@once("set_climate_limit", returns=ClimateLimit)
def set_climate_limit(
    *,
    location: Location,
    since: datetime,
    least_milli_c: int | None,
    most_milli_c: int | None,
    actor: User,
    request_id: UUID,
    tolerated_minutes: int = 60,
    silent_minutes: int | None = None,
) -> ClimateLimit:
    """From that moment on the place must keep to the limits; without any it need not.

    Raises WrongPlace, InTheFuture, InvalidInput.
    """
    refuse_other_places(location, Location.ENTERED, "place of the brewery's own")
    refuse_the_future(since, "since")
    for field, milli_c in (("least_c", least_milli_c), ("most_c", most_milli_c)):
        refuse_no_temperature(milli_c, field)
    if least_milli_c is not None and most_milli_c is not None and least_milli_c >= most_milli_c:
        told = f"It must be warmer than the least, {least_milli_c / MILLI:g} °C."
        raise InvalidInput(field="most_c", value=most_milli_c / MILLI, problem=told)
    for field, minutes in (("tolerated_minutes", tolerated_minutes), ("silent_minutes", silent_minutes)):
        if minutes is not None and not 0 <= minutes <= LONGEST_MINUTES:
            raise InvalidInput(field=field, value=minutes, problem=f"Give 0 to {LONGEST_MINUTES} minutes.")
    ring_for_alerts(Bell.CLIMATE)
    return ClimateLimit.objects.create(
        location=location,
        since=since,
        least_milli_c=least_milli_c,
        most_milli_c=most_milli_c,
        tolerated_minutes=tolerated_minutes,
        silent_minutes=silent_minutes,
        recorded_at=now(),
        actor=actor,
        request_id=request_id,
    )
