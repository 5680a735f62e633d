"""The cellar by the sheet: which step a beer is in on a day, and what is due next."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from brewery.kernel.clock import brewery_day
from brewery.production.models import BrewSheet, CellarStep
from brewery.production.queries.make_up import Beginnings
from brewery.science.units import format_micro

_MILLI_TO_MICRO = 1000


@dataclass(frozen=True)
class CellarDay:
    """Where a beer is by its sheet: the step of the day, and what is due next and when."""

    now: str
    next: str
    due_on: date
    is_overdue: bool = False


def cellar_day(beginnings: Beginnings, today: date) -> CellarDay | None:
    """Return where the beer of the oldest brew with a sheet is by that sheet, or None where no sheet says."""
    began_at = beginnings.began_at
    steps = next((steps for one in beginnings.origins if (steps := _steps_of(one.brew.sheet))), [])
    if began_at is None or not steps:
        return None
    return _day_in(steps, brewery_day(began_at), today)


def _steps_of(sheet: BrewSheet | None) -> list[CellarStep]:
    return list(sheet.cellar_steps.all()) if sheet else []


def _day_in(steps: Sequence[CellarStep], began_on: date, today: date) -> CellarDay:
    ends_on = began_on
    for step, following in zip(steps, [*steps[1:], None], strict=True):
        ends_on += timedelta(days=step.days)
        if today < ends_on:
            return CellarDay(_told(step), _told(following) if following else "ready", ends_on)
    return CellarDay(f"all {len(steps)} steps are over", "ready", ends_on, is_overdue=today > ends_on)


def _told(step: CellarStep) -> str:
    warmth = format_micro(step.temperature_milli_c * _MILLI_TO_MICRO, "each")
    return f"{step.get_phase_display()} at {warmth} °C"
