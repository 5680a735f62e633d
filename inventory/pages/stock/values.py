"""What a material's stock is worth and what a lot cost: for the accountant, where costs are kept."""

import re
from fractions import Fraction
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.core.validators import MaxValueValidator, MinValueValidator
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.science.typed import with_point
from brewery.science.units import UnitError
from inventory.models import LotCost, Material
from inventory.pages.stock.handling import lot_at
from inventory.queries.valuation import EARLIEST, LATEST, Valuation, Worth, money, unit_cost, valuation_of_days
from inventory.services.costs import record_cost

DAYS = (MinValueValidator(EARLIEST), MaxValueValidator(LATEST))
_COST = re.compile(r"[0-9]{1,11}(\.[0-9]{1,4})?")


class PeriodForm(forms.Form):
    """From which day through which day."""

    first = forms.DateField(label="From", widget=DayInput, validators=DAYS)
    last = forms.DateField(label="Through", widget=DayInput, validators=DAYS)

    def clean(self) -> dict[str, Any]:
        """Return the days. Raises ValidationError where the last is before the first."""
        read = super().clean() or {}
        if not self.errors and read["last"] < read["first"]:
            self.add_error("last", "Give a day that is not before the first.")
        return read


class MaterialValuePage(Page):
    """What a bought material was worth, what came, what went out, and what is left."""

    right: ClassVar[Right] = Right.KEEP_COSTS
    template_name = "inventory/stock/values.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        material = Material.objects.filter(pk=kwargs["material"]).first()
        if material is None:
            raise Http404(f"There is no material {kwargs['material']}.")
        today = brewery_day()
        this_year = {"first": today.replace(month=1, day=1).isoformat(), "last": today.isoformat()}
        form = PeriodForm(self.request.GET or this_year)
        value = valuation_of_days(material, **form.cleaned_data) if form.is_valid() else None
        rows = rows_of(value) if value else []
        return super().get_context_data(**{**kwargs, "material": material}, form=form, value=value, rows=rows)


class CostForm(WritingForm):
    """What one base unit of a lot cost."""

    names = {"unit_cost_e4": "unit_cost"}

    unit_cost = forms.CharField(label="Cost of one unit", max_length=20)
    currency = forms.CharField(label="Currency", max_length=3, help_text="The code of ISO 4217, such as EUR.")

    def clean_unit_cost(self) -> int:
        """Return the cost in ten-thousandths. Raises ValidationError."""
        try:
            text = with_point(self.cleaned_data["unit_cost"].strip())
        except UnitError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong
        if not _COST.fullmatch(text):
            raise forms.ValidationError("Write a plain decimal with up to four places, such as 12.5.")
        return int(Fraction(text) * 10_000)


class LotCostPage(FormPage):
    """The form that records what a lot cost, and what was recorded before."""

    right: ClassVar[Right] = Right.KEEP_COSTS
    write_right: ClassVar[Right] = Right.KEEP_COSTS
    template_name = "inventory/stock/cost.html"
    form_class = CostForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lot = lot_at(self.kwargs["lot"])
        costs = LotCost.objects.filter(lot=lot).select_related("actor").order_by("-pk")
        kept = [{"cost": cost, "text": f"{unit_cost(cost)} {cost.currency}"} for cost in costs]
        return super().get_context_data(**{**kwargs, "lot": lot}, kept=kept)

    def write(self, form: Any) -> str:
        """Record it."""
        lot, asked = lot_at(self.kwargs["lot"]), form.cleaned_data
        cost = record_cost(
            lot=lot,
            unit_cost_e4=asked["unit_cost"],
            currency=asked["currency"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        said = f"{lot} cost {unit_cost(cost)} {cost.currency} a {lot.material.base_unit}."
        messages.success(self.request, said)
        return reverse("stock-lot", args=[lot.pk])


def rows_of(value: Valuation) -> list[dict[str, Any]]:
    """Return the lines of a valuation: words, quantity, and the value by both ways."""
    out, left = value.went_out_by_average, value.closing_by_average
    return [
        _row("There at the beginning", value.opening, ""),
        _row("Came", value.came, ""),
        _row("Went out", value.went_out, "" if out is None else money(out)),
        _row("Left at the end", value.closing, "" if left is None else money(left)),
    ]


def _row(words: str, worth: Worth, by_average: str) -> dict[str, Any]:
    left_out = list(worth.without_cost.items())
    return {
        "words": words,
        "micro": worth.micro,
        "value": money(worth.value),
        "average": by_average,
        "left_out": left_out,
    }
