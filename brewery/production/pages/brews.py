"""The list of brews, and the form that starts one that nobody planned."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.core.paginator import Paginator
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage
from brewery.production.models import BrewSheet
from brewery.production.queries.work import brews_with_contents, next_brew_code
from brewery.production.services.work import start_brew
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Material

ON_A_PAGE = 50


class BrewsPage(WritingPage):
    """Brews, the last begun first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.BREW
    template_name = "production/brews.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        brews = brews_with_contents().select_related("sheet__beer").order_by("-started_at", "code")
        page = Paginator(brews, ON_A_PAGE).get_page(self.request.GET.get("page"))
        return super().get_context_data(
            rows=page.object_list,
            may_write=self.may_write,
            previous_url=f"?page={page.previous_page_number()}" if page.has_previous() else None,
            next_url=f"?page={page.next_page_number()}" if page.has_next() else None,
            **kwargs,
        )


class NewBrewForm(HappenedForm):
    """A brew to start: of a beer, by a sheet of it or by none."""

    names: ClassVar[Mapping[str, str]] = {"started_at": "happened_at"}
    moment = "started_at"

    code = forms.CharField(label="Brew code", max_length=20)
    sheet = forms.ModelChoiceField(
        label="By the sheet",
        required=False,
        empty_label="none",
        queryset=BrewSheet.objects.filter(state=BrewSheet.State.IN_USE).select_related("beer"),
    )
    beer = forms.ModelChoiceField(
        label="Beer",
        required=False,
        queryset=Material.objects.filter(kind=Material.Kind.BEER),
        help_text="Where a sheet is chosen, it says which.",
    )
    cold_wort = forms.CharField(
        label="Cold wort",
        required=False,
        max_length=60,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        help_text="In litres, or with a unit; left empty it is what the sheet says.",
    )

    def clean(self) -> dict[str, Any]:
        """Return what was typed, as the service wants it. Adds what is wrong beside its field."""
        read = super().clean()
        read["started_at"] = read.pop("happened_at", None)
        typed = read.pop("cold_wort", "")
        try:
            read["cold_wort_micro"] = typed_micro(typed, "L") if typed else None
        except UnitError as wrong:
            self.add_error("cold_wort", str(wrong))
        if not read.get("beer") and read.get("sheet"):
            read["beer"] = read["sheet"].beer
        if not read.get("beer") and not self.errors:
            self.add_error("beer", "Say which beer it is, or by which sheet it is brewed.")
        return read


class NewBrewPage(FormPage):
    """Starts a brew that was not planned."""

    right: ClassVar[Right] = Right.BREW
    write_right: ClassVar[Right] = Right.BREW
    template_name = "production/new_brew.html"

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; an empty one proposes the next code."""
        return NewBrewForm(*data) if data else NewBrewForm(initial={"code": next_brew_code()})

    def write(self, form: Any) -> str:
        """Start it, and go on to the brew day."""
        return reverse("brew-day", args=[start_brew(actor=self.person, **form.cleaned_data).code])
