"""How warm a place is kept: the form that says so from a moment on."""

from datetime import datetime
from typing import Any, ClassVar

from django import forms
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormPage
from inventory.models import Location
from inventory.pages.places import MILLI, place_or_404
from inventory.services.warmths import keep_place_at


class PlaceTemperatureForm(HappenedForm):
    """From when on the place is kept how warm; left empty, nobody knows."""

    names = {"since": "happened_at"}
    moment = "since"

    temperature_c = forms.DecimalField(
        label="Temperature, °C",
        required=False,
        max_digits=6,
        decimal_places=2,
        help_text="Leave it empty where nobody knows how warm it is kept.",
    )


class PlaceTemperaturePage(FormPage):
    """Says how warm a place is kept from a moment on."""

    right: ClassVar[Right] = Right.KEEP_REGISTERS
    write_right: ClassVar[Right] = Right.KEEP_REGISTERS
    template_name = "inventory/place_temperature.html"
    form_class = PlaceTemperatureForm

    @property
    def place(self) -> Location:
        """The place that the address names. Raises Http404."""
        return place_or_404(self.kwargs["place"])

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(location=self.place, **kwargs)

    def write(self, form: Any) -> str:
        """Write it down."""
        place, read = self.place, form.cleaned_data
        degrees = read["temperature_c"]
        since: datetime = read["happened_at"]
        keep_place_at(
            location=place,
            milli_c=None if degrees is None else int(degrees * MILLI),
            since=since,
            actor=self.person,
            request_id=read["request_id"],
        )
        return reverse("place", args=[place.pk])
