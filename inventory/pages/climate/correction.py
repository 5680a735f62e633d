"""The form that says which readings of a place do not count, or count again."""

from datetime import timedelta
from typing import Any, ClassVar

from django import forms
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.moments import MomentInput
from brewery.kernel.pages.writing import FormPage, WritingForm
from inventory.models import ClimateReading, Location
from inventory.pages.places import place_or_404
from inventory.services.climate_corrections import correct_climate

REST_OF_ITS_MINUTE = timedelta(seconds=59, microseconds=999_999)
"""People type minutes, and loggers read at any second of one."""
SAID = {"no": "they do not count", "yes": "they count again"}


class ClimateCorrectionForm(WritingForm):
    """Which logger, from when through when, and why."""

    names = {"counts": "said"}

    logger = forms.ChoiceField(label="Logger")
    first_at = forms.DateTimeField(label="From the reading at", widget=MomentInput)
    last_at = forms.DateTimeField(label="Through the reading at", widget=MomentInput)
    said = forms.ChoiceField(label="Its readings", choices=SAID.items(), widget=forms.RadioSelect, initial="no")
    reason = forms.CharField(
        label="Why", max_length=200, help_text="Such as: it lay on a warm bench while the battery was changed."
    )

    def __init__(self, place: Location, *data: Any) -> None:
        super().__init__(*data)
        loggers = ClimateReading.objects.filter(location=place).order_by("logger").values_list("logger", flat=True)
        self.fields["logger"].choices = [(name, name) for name in loggers.distinct()]  # type: ignore[attr-defined]


class ClimateCorrectionPage(FormPage):
    """Says that what a logger read does not count."""

    right: ClassVar[Right] = Right.SPECIFY
    write_right: ClassVar[Right] = Right.SPECIFY
    template_name = "inventory/climate/correction.html"

    @property
    def place(self) -> Location:
        """The place that the address names. Raises Http404."""
        return place_or_404(self.kwargs["place"])

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form with the loggers that read here."""
        return ClimateCorrectionForm(self.place, *data)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**{**kwargs, "place": self.place})

    def write(self, form: Any) -> str:
        """Say so."""
        place, asked = self.place, form.cleaned_data
        correct_climate(
            location=place,
            logger=asked["logger"],
            first_at=asked["first_at"],
            last_at=asked["last_at"] + REST_OF_ITS_MINUTE,
            counts=asked["said"] == "yes",
            reason=asked["reason"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        return reverse("climate", args=[place.pk])
