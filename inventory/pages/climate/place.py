"""The climate of one place: drawn, its excursions with the lots that lay there, and the form that sets its limits."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any, ClassVar

from django import forms
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day, brewery_zone, now
from brewery.kernel.drawing.time_chart import Level, Panel, Point, TimeChart, draw
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormPage
from brewery.science.climate import Excursion
from inventory.models import ClimateCorrection, ClimateReading, Location, Lot
from inventory.pages.places import MILLI, place_or_404
from inventory.queries.climates import Climate, climate_of, lots_there
from inventory.services.climates import set_climate_limit

HEIGHT = 230
MOST_DOTS = 700
USUAL_DAYS = 30
LONGEST_DAYS = 400


class ClimateFilter(forms.Form):
    """From which day through which."""

    first = forms.DateField(label="From", required=False, widget=DayInput)
    last = forms.DateField(label="Through", required=False, widget=DayInput)

    def clean(self) -> dict[str, Any]:
        """Return the days. Raises ValidationError where the last is before the first, or too far from it."""
        read = super().clean() or {}
        if not self.errors:
            read["last"] = read.get("last") or brewery_day()
            read["first"] = read.get("first") or read["last"] - timedelta(USUAL_DAYS)
            if not 0 <= (read["last"] - read["first"]).days <= LONGEST_DAYS:
                self.add_error("last", f"Give a day that is not before the first, and up to {LONGEST_DAYS} days after.")
        return read


@dataclass(frozen=True)
class ShownExcursion:
    """One time outside of the limits, and the lots that lay there."""

    excursion: Excursion
    lots: Sequence[Lot]


class ClimatePage(Page):
    """The climate of one place."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/climate/place.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        place = place_or_404(kwargs["place"])
        form = ClimateFilter(self.request.GET)
        days = form.cleaned_data if form.is_valid() else {"first": brewery_day() - timedelta(30), "last": brewery_day()}
        climate = climate_of(place, _start(days["first"]), min(now(), _start(days["last"] + timedelta(1))))
        user = self.request.user
        return super().get_context_data(
            form=form,
            climate=climate,
            svg=drawn(climate),
            least_c=_shown(climate.limit.least_milli_c if climate.limit else None),
            most_c=_shown(climate.limit.most_milli_c if climate.limit else None),
            excursions=[
                ShownExcursion(one, lots_there(place, one.start, one.end)) for one in reversed(climate.excursions)
            ],
            corrections=ClimateCorrection.objects.filter(location=place).select_related("actor").order_by("-pk"),
            may_log=user.has_right(Right.LOG_CLIMATE),  # type: ignore[union-attr]
            may_limit=user.has_right(Right.SPECIFY),  # type: ignore[union-attr]
            was_read=ClimateReading.objects.filter(location=place).exists(),
            may_keep=user.has_right(Right.KEEP_REGISTERS),  # type: ignore[union-attr]
            **{**kwargs, "place": place},
        )


def _shown(milli_c: int | None) -> str:
    return "" if milli_c is None else f"{milli_c / MILLI:g}"


def _start(day: date) -> datetime:
    return datetime.combine(day, time(), brewery_zone())


def drawn(climate: Climate) -> SafeString:
    """Return the readings as a picture with the limits across it; of very many every so many, and the outmost."""
    if not climate.stretches:
        return mark_safe("")
    limit = climate.limit
    bounds = (
        [] if limit is None else [one / MILLI for one in (limit.least_milli_c, limit.most_milli_c) if one is not None]
    )
    zone = brewery_zone()
    since, until = climate.since.astimezone(zone), climate.until.astimezone(zone)
    every = -(-len(climate.stretches) // MOST_DOTS)
    outmost = {max(climate.stretches, key=lambda one: one.celsius), min(climate.stretches, key=lambda one: one.celsius)}
    kept = [one for at, one in enumerate(climate.stretches) if at % every == 0 or one in outmost]
    curve = [point for one in kept for point in (Point(one.start, one.celsius), Point(one.end, one.celsius))]
    panel = Panel(
        "Temperature" + (", with the limits" if bounds else ""),
        "°C",
        HEIGHT,
        curve=curve if every == 1 else [Point(one.start, one.celsius) for one in kept],
        levels=[Level(since, until, one) for one in bounds],
    )
    # What is drawn is numbers of ours and words that the drawing has escaped.
    return mark_safe(draw(TimeChart(f"Temperature in {climate.location.name}", since, until, [panel])))  # noqa: S308


class ClimateLimitForm(HappenedForm):
    """What a place must keep to."""

    names = {"since": "happened_at"}
    moment = "since"

    least_c = forms.DecimalField(label="At least, °C", required=False, max_digits=5, decimal_places=2)
    most_c = forms.DecimalField(label="At most, °C", required=False, max_digits=5, decimal_places=2)
    tolerated_minutes = forms.IntegerField(label="It may be outside for, minutes", min_value=0, initial=60)
    silent_minutes = forms.IntegerField(
        label="Its logger may be silent for, minutes", min_value=0, required=False, help_text="Empty: for ever."
    )


class ClimateLimitPage(FormPage):
    """The form that sets the limits of a place."""

    right: ClassVar[Right] = Right.SPECIFY
    write_right: ClassVar[Right] = Right.SPECIFY
    template_name = "inventory/climate/limit.html"
    form_class = ClimateLimitForm

    @property
    def place(self) -> Location:
        """The place that the address names. Raises Http404."""
        return place_or_404(self.kwargs["place"])

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**{**kwargs, "place": self.place})

    def write(self, form: Any) -> str:
        """Set them."""
        place, asked = self.place, form.cleaned_data
        least, most = (None if asked[name] is None else int(asked[name] * MILLI) for name in ("least_c", "most_c"))
        set_climate_limit(
            location=place,
            since=asked["happened_at"],
            least_milli_c=least,
            most_milli_c=most,
            tolerated_minutes=asked["tolerated_minutes"],
            silent_minutes=asked["silent_minutes"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        return reverse("climate", args=[place.pk])
