"""The log of a brew day: readings and words are written down, and corrected by lines that replace them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import Brew, LogEntry
from brewery.production.queries.brew_log import in_words
from brewery.production.services.log_refusals import BeforeTheBrew, CorrectedAlready
from brewery.production.services.readings import property_read, refuse_implausible
from brewery.production.services.work import lock_work
from brewery.science.brew_readings import READINGS
from brewery.science.properties import plausible
from inventory.services.checks import refuse_the_future
from inventory.services.refusals import ReasonMissing


@dataclass(frozen=True)
class LogLine:
    """What a line of a log says: a reading of `property` in millionths of its unit, or words, or both."""

    step: str
    property: str = ""
    value_micro: int | None = None
    is_hot: bool = False
    vessel: str = ""
    words: str = ""


@once("write_in_log", returns=LogEntry)
def write_in_log(*, brew: Brew, line: LogLine, happened_at: datetime, actor: User, request_id: UUID) -> LogEntry:
    """The line stands in the log for good. Raises InvalidInput, InTheFuture, BeforeTheBrew."""
    _refuse_line(line)
    _refuse_moment(brew, happened_at)
    return LogEntry.objects.create(
        brew=brew, happened_at=happened_at, recorded_at=now(), actor=actor, request_id=request_id, **_facts(line)
    )


@once("correct_log", returns=LogEntry)
def correct_log(
    *, entry: LogEntry, line: LogLine, happened_at: datetime, reason: str, actor: User, request_id: UUID
) -> LogEntry:
    """The line takes the place of `entry`, which stays on record beside it.

    Raises ReasonMissing, CorrectedAlready, and what `write_in_log` raises.
    """
    if not reason.strip():
        raise ReasonMissing(what="A correction", field="reason")
    _refuse_line(line)
    _refuse_moment(entry.brew, happened_at)
    lock_work(entry.brew)
    _refuse_corrected(entry)
    return LogEntry.objects.create(
        brew=entry.brew,
        happened_at=happened_at,
        replaces=entry,
        reason=reason.strip(),
        recorded_at=now(),
        actor=actor,
        request_id=request_id,
        **_facts(line),
    )


def _facts(line: LogLine) -> Mapping[str, object]:
    return {
        "step": line.step,
        "property": line.property,
        "value_micro": line.value_micro,
        "is_hot": line.is_hot,
        "vessel": line.vessel.strip(),
        "words": line.words.strip(),
    }


def _refuse_line(line: LogLine) -> None:
    if line.step not in LogEntry.Step.values:
        raise InvalidInput(field="step", value=line.step, problem=f"Write one of: {', '.join(LogEntry.Step.values)}.")
    if line.is_hot and line.property != LogEntry.Property.VOLUME:
        raise InvalidInput(field="is_hot", value=True, problem="Only a volume is read hot or cold.")
    if line.property:
        _refuse_reading(line)
    elif line.value_micro is not None:
        raise InvalidInput(field="property", value="", problem="Say what was read.")
    elif not line.words.strip():
        raise InvalidInput(field="words", value=line.words, problem="Give a reading, or say what was done.")


def _refuse_reading(line: LogLine) -> None:
    measured = property_read(READINGS, line.property)
    if line.value_micro is None:
        raise InvalidInput(field="value", value="", problem=f"Give the figure; it must be {plausible(measured)}.")
    refuse_implausible(measured, line.value_micro)


def _refuse_moment(brew: Brew, happened_at: datetime) -> None:
    refuse_the_future(happened_at)
    if happened_at < brew.started_at:
        raise BeforeTheBrew(
            brew=brew.code,
            started_at=on_the_wall(brew.started_at),
            moment=on_the_wall(happened_at),
            field="happened_at",
        )


def _refuse_corrected(entry: LogEntry) -> None:
    later = LogEntry.objects.filter(replaces=entry).select_related("actor").first()
    if later:
        raise CorrectedAlready(
            moment=on_the_wall(entry.happened_at),
            person=later.actor,
            corrected_at=on_the_wall(later.recorded_at),
            now_says=in_words(later),
            field="entry",
        )
