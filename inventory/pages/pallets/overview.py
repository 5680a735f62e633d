"""Which pallets there are, and a new one."""

from collections.abc import Mapping
from typing import Any, ClassVar
from urllib.parse import urlencode

from django import forms
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage
from inventory.models import LogisticUnit
from inventory.pages.choices import offers
from inventory.pages.scanned import SsccField, StoreField
from inventory.queries.pallets import pallets_in_full, pallets_that_hold_something
from inventory.services.pallets import make_pallet

PAGE = 50
FURTHEST_PAGE = 100_000


class PalletFilter(forms.Form):
    """What narrows the list; it asks by GET, so that what is shown has an address."""

    store = StoreField(label="Store", required=False)
    all = forms.BooleanField(label="Empty ones, too", required=False)
    page = forms.IntegerField(required=False, min_value=1, max_value=FURTHEST_PAGE, widget=forms.HiddenInput)


class PalletsPage(WritingPage):
    """Pallets with what lies on them, the newest first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.MOVE_STOCK
    template_name = "inventory/pallets/overview.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = PalletFilter(self.request.GET)
        number = (form.cleaned_data["page"] or 1) if form.is_valid() else 1
        rows = self._rows(form, number) if form.is_valid() else []
        return super().get_context_data(
            filter_form=form,
            rows=rows[:PAGE],
            may_write=self.may_write,
            offers=offers("stores"),
            previous_url=self._url(number - 1) if number > 1 else None,
            next_url=self._url(number + 1) if len(rows) > PAGE else None,
            **kwargs,
        )

    def _rows(self, form: PalletFilter, number: int) -> list[LogisticUnit]:
        units, asked = pallets_in_full().order_by("-pk"), form.cleaned_data
        if asked["store"]:
            units = units.filter(stands_in=asked["store"])
        if not asked["all"]:
            units = units.filter(pk__in=pallets_that_hold_something().values("pk"))
        start = (number - 1) * PAGE
        return list(units[start : start + PAGE + 1])

    def _url(self, number: int) -> str:
        kept = {name: text for name, text in self.request.GET.items() if name != "page" and text}
        return "?" + urlencode({**kept, "page": number})


class PalletForm(HappenedForm):
    """An empty pallet."""

    names: ClassVar[Mapping[str, str]] = {"made_at": "happened_at"}
    moment = "made_at"

    sscc = SsccField(
        label="SSCC", required=False, help_text="Scan the label that it bears, or leave it empty for a number of ours."
    )
    stands_in = StoreField(label="It stands in")


class NewPalletPage(FormPage):
    """The form that makes an empty pallet."""

    right: ClassVar[Right] = Right.MOVE_STOCK
    write_right: ClassVar[Right] = Right.MOVE_STOCK
    template_name = "inventory/pallets/new.html"
    form_class = PalletForm

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; a new one is for the SSCC that the address names."""
        return PalletForm(*data) if data else PalletForm(initial={"sscc": self.request.GET.get("sscc", "")})

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(offers=offers("stores"), **kwargs)

    def write(self, form: Any) -> str:
        """Make it."""
        asked = dict(form.cleaned_data)
        unit = make_pallet(made_at=asked.pop("happened_at"), actor=self.person, **asked)
        return reverse("pallet", args=[unit.sscc])
