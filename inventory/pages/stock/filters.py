"""What narrows and sorts the stock on a page; it asks by GET, so that what is shown has an address."""

from typing import ClassVar

from django import forms

from brewery.kernel.pages.days import DayInput
from inventory.models import Material
from inventory.models.dispositions import Disposition
from inventory.pages.choices import CountedPlaceField, MaterialField
from inventory.queries.stock import StockWanted

KINDS = [("", "all kinds"), *Material.Kind.choices]
FURTHEST_PAGE = 100_000
OTHER_FIELDS = ("page", "sort", "all", "view", "form")
"""Those that ask how it is shown, and not of what."""


class StockFilter(forms.Form):
    """What every view of the stock can be narrowed by."""

    offers: ClassVar[tuple[str, ...]] = ("materials",)

    material = MaterialField(label="Material", required=False)
    kind = forms.ChoiceField(label="Kind", required=False, choices=KINDS)
    page = forms.IntegerField(required=False, min_value=1, max_value=FURTHEST_PAGE, widget=forms.HiddenInput)

    @property
    def wanted(self) -> StockWanted:
        """What is asked for; only of a form that is valid."""
        return StockWanted(
            **{name: value for name, value in self.cleaned_data.items() if value and name not in OTHER_FIELDS}
        )

    @property
    def page_number(self) -> int:
        """The page asked for, from 1; only of a form that is valid."""
        return self.cleaned_data["page"] or 1


class MaterialStockFilter(StockFilter):
    """Narrows the materials."""

    sort = forms.ChoiceField(
        label="In the order of",
        required=False,
        choices=[("", "their codes"), ("name", "their names"), ("kind", "their kinds"), ("expiry", "expiry")],
    )
    all = forms.BooleanField(label="Those without stock, too", required=False)


class LyingStockFilter(StockFilter):
    """Narrows what lies where."""

    offers = ("materials", "counted-places")

    code = forms.CharField(label="Lot code", required=False, max_length=20)
    place = CountedPlaceField(label="Place", required=False)
    disposition = forms.ChoiceField(
        label="Disposition", required=False, choices=[("", "all dispositions"), *Disposition.choices]
    )
    expiring_before = forms.DateField(label="Best before earlier than", required=False, widget=DayInput)

    field_order = ("code", "material", "kind", "place", "disposition", "expiring_before")


class LotStockFilter(LyingStockFilter):
    """Narrows and sorts the lots."""

    sort = forms.ChoiceField(
        label="In the order of",
        required=False,
        choices=[
            ("", "expiry, the first first"),
            ("code", "their codes"),
            ("material", "material and expiry"),
            ("oldest", "age, the oldest first"),
            ("newest", "age, the newest first"),
        ],
    )
