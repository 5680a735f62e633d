"""Readings of tanks: taken down one by one or many at once, and corrected by readings that replace them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.database.sets import AT_ONCE
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import TankReading
from brewery.production.queries.tank_contents import contents_over_time
from brewery.production.queries.tank_readings import in_words
from brewery.production.services.reading_refusals import (
    BadReadings,
    NothingInItThen,
    ReadAlready,
    ReadingCorrectedAlready,
)
from brewery.production.services.readings import property_read, refuse_implausible
from brewery.production.services.tanks import refuse_other_than_tanks
from brewery.science.properties import plain, with_unit
from brewery.science.tank_readings import READINGS
from inventory.models import Location
from inventory.services.alert_bells import Bell, ring_for_alerts
from inventory.services.checks import refuse_the_future
from inventory.services.refusals import ReasonMissing
from inventory.services.stock import refuse_no_lines

MOST_AT_ONCE = 5000


@dataclass(frozen=True)
class Measured:
    """One reading to be taken down: a property of what a tank held at a moment, in millionths of its unit."""

    vessel: Location
    property: str
    value_micro: int
    happened_at: datetime
    remark: str = ""


@once("read_tanks", returns=TankReading)
def read_tanks(*, readings: Sequence[Measured], actor: User, request_id: UUID) -> TankReading:
    """All readings stand in the record, each with the lot that its tank held then; or none. Returns the first.

    Raises BadReadings, which tells of InvalidInput, InTheFuture, WrongPlace, NothingInItThen and ReadAlready by the
    field `readings.0`; one reading that is refused alone is told as itself.
    """
    refuse_no_lines(readings, "The round")
    if len(readings) > MOST_AT_ONCE:
        raise InvalidInput(field="readings", value=len(readings), problem=f"Send up to {MOST_AT_ONCE} at once.")
    return take_down(readings, actor, request_id)[0]


def take_down(readings: Sequence[Measured], actor: User, request_id: UUID) -> list[TankReading]:
    """All readings stand in the record, or none, in a transaction of the caller's. Raises what `read_tanks` raises."""
    rows = _rows(readings, actor, request_id)
    ring_for_alerts(Bell.READING)
    return TankReading.objects.bulk_create(rows, batch_size=AT_ONCE)


@once("correct_reading", returns=TankReading)
def correct_reading(
    *,
    reading: TankReading,
    value_micro: int,
    happened_at: datetime,
    reason: str,
    actor: User,
    request_id: UUID,
    remark: str = "",
) -> TankReading:
    """The new reading takes the place of the old one, which stays on record beside it.

    Raises ReasonMissing, ReadingCorrectedAlready, and what `read_tanks` raises.
    """
    if not reason.strip():
        raise ReasonMissing(what="A correction", field="reason")
    measured = Measured(reading.vessel, reading.property, value_micro, happened_at, remark)
    TankReading.objects.select_for_update().get(pk=reading.pk)
    _refuse_corrected(reading)
    (row,) = _rows([measured], actor, request_id, replaced=reading)
    row.replaces, row.reason = reading, reason.strip()
    row.save()
    ring_for_alerts(Bell.READING)
    return row


def _rows(
    readings: Sequence[Measured], actor: User, request_id: UUID, replaced: TankReading | None = None
) -> list[TankReading]:
    """Return the rows to be written. Raises the refusal of the only reading, or BadReadings with every one."""
    held = contents_over_time({reading.vessel for reading in readings})
    standing = _standing(readings, replaced)
    rows, faults = [], []
    recorded_at = now()
    for place, reading in enumerate(readings):
        try:
            _refuse(reading, standing)
            lot = held[reading.vessel.pk].lot_at(reading.happened_at)
            if lot is None:
                moment = on_the_wall(reading.happened_at)
                raise NothingInItThen(vessel=reading.vessel, moment=moment, field="happened_at")
        except DomainError as refused:
            if len(readings) == 1:
                raise
            refused.field = f"readings.{place}"
            faults.append(refused)
            continue
        row = TankReading(
            vessel=reading.vessel,
            lot_id=lot,
            happened_at=reading.happened_at,
            property=reading.property,
            value_micro=reading.value_micro,
            remark=reading.remark.strip(),
            recorded_at=recorded_at,
            actor=actor,
            request_id=request_id,
        )
        standing[_key(row.vessel_id, row.property, row.happened_at)] = row
        rows.append(row)
    if faults:
        raise BadReadings(faults, lines=len(readings))
    return rows


def _key(vessel: int, property: str, happened_at: datetime) -> tuple[int, str, datetime]:
    return vessel, property, happened_at


def _standing(
    readings: Sequence[Measured], replaced: TankReading | None
) -> dict[tuple[int, str, datetime], TankReading]:
    """Return what stands between the first and the last moment of the readings, by tank, property and moment."""
    moments = [reading.happened_at for reading in readings]
    rows = TankReading.objects.filter(
        vessel__in={reading.vessel.pk for reading in readings},
        happened_at__range=(min(moments), max(moments)),
        replaced_by=None,
    ).select_related("actor")
    if replaced:
        rows = rows.exclude(pk=replaced.pk)
    return {_key(row.vessel_id, row.property, row.happened_at): row for row in rows}


def _refuse(reading: Measured, standing: dict[tuple[int, str, datetime], TankReading]) -> None:
    refuse_other_than_tanks(reading.vessel)
    measured = property_read(READINGS, reading.property)
    refuse_implausible(measured, reading.value_micro)
    refuse_the_future(reading.happened_at)
    earlier = standing.get(_key(reading.vessel.pk, reading.property, reading.happened_at))
    if earlier:
        raise ReadAlready(
            label=measured.label,
            vessel=reading.vessel,
            moment=on_the_wall(reading.happened_at),
            value=with_unit(plain(earlier.value_micro), measured),
            person=earlier.actor,
            field="happened_at",
        )


def _refuse_corrected(reading: TankReading) -> None:
    later = TankReading.objects.filter(replaces=reading).select_related("actor").first()
    if later:
        raise ReadingCorrectedAlready(
            moment=on_the_wall(reading.happened_at),
            person=later.actor,
            corrected_at=on_the_wall(later.recorded_at),
            now_says=in_words(later),
            field="reading",
        )
