"""The counts that are under way, those that are done, and a new one."""

from typing import Any, ClassVar

from django import forms
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import FormPage, WritingForm
from inventory.pages.choices import CountedPlaceField, MaterialField, offers
from inventory.queries.count_sheets import open_sheets, sheets_in_brief
from inventory.services.count_sheets import open_count

DONE_SHOWN = 30


class OpenCountForm(WritingForm):
    """What is to be counted: a place, or a material wherever it lies."""

    names: ClassVar[dict[str, str]] = {"location": "place"}

    place = CountedPlaceField(label="A place", required=False)
    material = MaterialField(label="Or a material, wherever it lies", required=False)

    def clean(self) -> dict[str, Any]:
        """Return what was typed. Raises ValidationError unless it is one of the two."""
        read = super().clean() or {}
        if not self.errors and bool(read.get("place")) == bool(read.get("material")):
            raise forms.ValidationError("Give a place or a material, one of them.")
        return read


class CountsPage(FormPage):
    """Counts, and the form that opens one."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.COUNT_STOCK
    template_name = "inventory/counts/overview.html"
    form_class = OpenCountForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        under_way = list(open_sheets())
        done = sheets_in_brief().exclude(pk__in=[sheet.pk for sheet in under_way])[:DONE_SHOWN]
        return super().get_context_data(
            **kwargs,
            under_way=under_way,
            done=done,
            may_write=self.may_write,
            offers=offers("materials", "counted-places"),
        )

    def write(self, form: Any) -> str:
        """Open it."""
        asked = form.cleaned_data
        sheet = open_count(
            location=asked["place"], material=asked["material"], actor=self.person, request_id=asked["request_id"]
        )
        return reverse("count", args=[sheet.pk])
