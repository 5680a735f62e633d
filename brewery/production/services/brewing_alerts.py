"""What brewing gives cause to tell: shortages of planned brews, yeast near its last generation, fermentations that are
stuck, vessels left uncleaned, and samples that need be kept no longer."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.urls import reverse

from brewery.kernel.access import Role
from brewery.kernel.clock import brewery_day, on_the_wall
from brewery.production.queries.fermentations import fermentations
from brewery.production.queries.needs import open_plans, shortages
from brewery.production.queries.retained_samples import samples_to_throw_away
from brewery.production.queries.yeast_states import yeast_on_hand
from brewery.science.fermentation import State
from brewery.science.units import format_micro
from inventory.models import Alert, Location
from inventory.queries.vessels import State as Vessel
from inventory.queries.vessels import states_at
from inventory.services.alert_bells import Bell
from inventory.services.alerts import Cause, alerts_of

SOON = timedelta(days=3)
"""A shortage so close is pressing: little can be had within it (common practice, no source)."""


CLEANED_WITHIN = timedelta(days=2)
"""Soil dries on: how long an emptied vessel may wait for its cleaning (common practice, no source)."""


@alerts_of(
    "brew_short",
    "Short for a planned brew",
    after=(
        Bell.PLAN,
        Bell.DISPOSITION,
        Bell.ORDER,
    ),
)
def short_brews(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each material that planned brews will be short of, at the first day on which it is."""
    today, told = brewery_day(moment), set()
    for one in shortages(open_plans()):
        if one.material.pk in told:
            continue
        told.add(one.material.pk)
        missing = format_micro(one.missing_micro, one.material.base_unit)
        yield Cause(
            f"material {one.material.pk}",
            f"{missing} {one.material.base_unit} of {one.material.name} are missing on {one.day.isoformat()} "
            f"for {', '.join(one.plans)}.",
            Role.BREWING,
            Alert.Severity.URGENT if one.day <= today + SOON else Alert.Severity.WARNING,
            reverse("brewing"),
            material_id=one.material.pk,
        )


@alerts_of("generation_near", "Last generation near")
def yeast_near_its_last_generation(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each yeast lot in store that is of the last generation of its strain, or beyond."""
    for state, _ in yeast_on_hand(moment):
        lot, last = state.lot, state.strain.last_generation
        if lot.generation is not None and lot.generation >= last:
            yield Cause(
                f"lot {lot.pk} at {state.location.pk}",
                f"Yeast {lot.code} at {state.location.name} is of generation {lot.generation}, and {last} is the last "
                f"of {lot.material.name}: raise or order new yeast.",
                Role.BREWING,
                address=reverse("yeast"),
                lot_id=lot.pk,
                location_id=state.location.pk,
                material_id=lot.material_id,
            )


@alerts_of("fermentation_stuck", "Fermentation stuck", after=(Bell.READING,))
def stuck_fermentations(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each tank whose gravity has stopped short of what the sheet says."""
    for one in fermentations():
        if one.state is State.STUCK:
            yield Cause(
                f"lot {one.lot.pk} in {one.vessel.pk}",
                f"{one.lot.code} in {one.vessel.name} ferments no further: {one.judgement.why}",
                Role.BREWING,
                address=reverse("cellar-tank", args=[one.vessel.code]),
                lot_id=one.lot.pk,
                location_id=one.vessel.pk,
                material_id=one.lot.material_id,
            )


@alerts_of("cleaning_overdue", "Cleaning overdue")
def uncleaned_vessels(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each vessel that was emptied days ago and not cleaned since."""
    vessels = Location.objects.filter(kind__in=Location.TANKS)
    for state in states_at(vessels).values():
        if state.state is Vessel.EMPTY and state.residue and state.since and state.since < moment - CLEANED_WITHIN:
            yield Cause(
                f"vessel {state.vessel.pk}",
                f"{state.vessel.name} is empty since {on_the_wall(state.since)} and was not cleaned.",
                Role.BREWING,
                address=reverse("cellar-tank", args=[state.vessel.code]),
                location_id=state.vessel.pk,
            )


@alerts_of("samples_over", "Retained samples over")
def samples_over(moment: datetime) -> Iterator[Cause]:
    """Yield one cause where samples are kept for longer than they need be."""
    count = samples_to_throw_away(brewery_day(moment)).count()
    if count:
        what = "retained sample is" if count == 1 else "retained samples are"
        words = f"{count} {what} past the day until which they are kept."
        yield Cause("samples", words, Role.QUALITY, Alert.Severity.NOTICE, reverse("retained-samples"))
