"""How warm places are: those that are watched, and the form that reads in a logger's file."""

from datetime import timedelta
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import now
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage
from inventory.models import Location
from inventory.queries.climates import climate_of, watched_places
from inventory.services.climates import COLUMNS, read_in_climate_file

LOOKS_BACK = timedelta(days=7)


class ClimateFileForm(WritingForm):
    """A file as a logger hands it over."""

    logger = forms.CharField(label="Logger", max_length=40)
    file = forms.FileField(label="CSV file")


class ClimatesPage(WritingPage):
    """The places that are watched, with what was read last."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.LOG_CLIMATE
    template_name = "inventory/climate/overview.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        moment = now()
        watched = watched_places()
        others = Location.objects.filter(kind__in=Location.ENTERED).exclude(pk__in=[one.pk for one in watched])
        return super().get_context_data(
            climates=[climate_of(place, moment - LOOKS_BACK, moment) for place in watched],
            others=others,
            may_write=self.may_write,
            **kwargs,
        )


class ClimateFilePage(FormPage):
    """Reads in what a logger hands over."""

    right: ClassVar[Right] = Right.LOG_CLIMATE
    write_right: ClassVar[Right] = Right.LOG_CLIMATE
    template_name = "inventory/climate/file.html"
    form_class = ClimateFileForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(columns=COLUMNS, **kwargs)

    def write(self, form: Any) -> str:
        """Read it in."""
        asked = form.cleaned_data
        first = read_in_climate_file(
            name=asked["file"].name,
            content=asked["file"].read(),
            logger=asked["logger"].strip(),
            actor=self.person,
            request_id=asked["request_id"],
        )
        messages.success(self.request, "What was new in the file is on record.")
        return reverse("climate", args=[first.location_id])
