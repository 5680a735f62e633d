"""Lines from a file: the form that takes one, what its columns are, and a sample with the brewery's own codes."""

import csv
import io
from typing import Any, ClassVar

from django import forms
from django.http import HttpRequest, HttpResponse

from brewery.kernel.access import Right
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.writing import WritingForm
from inventory.models import Location, Material
from inventory.services.delivery_files import COLUMNS

SAMPLES = 2
SHOWN = ("material", "supplier_lot", "quantity", "note_quantity", "unit", "package_count", "package_size", "location")


class LinesFileForm(WritingForm):
    """A CSV file of lines. An empty one is refused by the service, as what it is."""

    file = forms.FileField(label="CSV file", allow_empty_file=True, widget=forms.FileInput(attrs={"accept": ".csv"}))


class SampleFile(Page):
    """A file of lines that could be read in here as it is: for somebody to fill in."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    http_method_names = ("get", "head")

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        text = io.StringIO()
        writer = csv.DictWriter(text, SHOWN, lineterminator="\r\n")
        writer.writeheader()
        writer.writerows(_sample_lines())
        answer = HttpResponse(text.getvalue(), content_type="text/csv; charset=utf-8")
        answer["Content-Disposition"] = 'attachment; filename="delivery-lines.csv"'
        return answer


def _sample_lines() -> list[dict[str, Any]]:
    """Return lines of this brewery's materials, as a supplier's note would name them."""
    store = Location.objects.filter(kind=Location.Kind.STORE).first()
    bought = Material.objects.filter(kind__in=(Material.Kind.MALT, Material.Kind.HOP), base_unit="kg")
    return [
        {
            "material": material.code,
            "supplier_lot": f"SAMPLE-{number}",
            "quantity": "50.2",
            "note_quantity": "50",
            "unit": "kg",
            "package_count": "2",
            "package_size": "25",
            "location": store.code if store else "",
        }
        for number, material in enumerate(bought[:SAMPLES], start=1)
    ]


def columns_shown() -> list[dict[str, Any]]:
    """Return the columns of a file, for people."""
    return [{"name": one.name, "words": one.form.words, "required": one.required} for one in COLUMNS]
