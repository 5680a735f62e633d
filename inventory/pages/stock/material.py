"""One material in stock: its sums, how they came about, its lots and places, and from which to take first."""

from typing import Any, ClassVar, cast

from django import forms
from django.http import Http404

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.models import User
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.days import DayInput
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Material
from inventory.queries.proposals import Proposal, propose
from inventory.queries.reservations import kept_now
from inventory.queries.stock import SORTS, StockWanted, lots_on_hand, stock_of_lots, stock_of_materials
from inventory.queries.turnover import turnover_of

MOST_LOTS = 500
"""Lots that one page shows; the list of lots shows all, a page at a time."""


class ProposalForm(forms.Form):
    """How much is needed, and when."""

    quantity = forms.CharField(label="Needed", max_length=60, help_text="A number, and a unit where it is another.")
    use_on = forms.DateField(label="On", required=False, widget=DayInput)
    whole_packages = forms.BooleanField(label="Whole packages only", required=False)

    def __init__(self, material: Material, *data: Any) -> None:
        super().__init__(*data)
        self.material = material

    def clean_quantity(self) -> int:
        """Return what was typed in micro-units. Raises ValidationError."""
        try:
            micro = typed_micro(self.cleaned_data["quantity"], self.material.base_unit)
        except UnitError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong
        if not micro:
            raise forms.ValidationError("Give a quantity above zero.")
        return micro


class MaterialStockPage(Page):
    """One material in stock."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/stock/material.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        material = Material.objects.filter(pk=kwargs["material"]).first()
        if material is None:
            raise Http404(f"There is no material {kwargs['material']}.")
        today = brewery_day()
        (stock,) = stock_of_materials([material], today)
        (turnover,) = turnover_of([material])
        lots = list(lots_on_hand(StockWanted(material=material)).order_by(*SORTS["best_before"])[:MOST_LOTS])
        form = ProposalForm(material, self.request.GET) if "quantity" in self.request.GET else ProposalForm(material)
        return super().get_context_data(
            **{**kwargs, "material": material},
            may_see_value=cast(User, self.request.user).has_right(Right.KEEP_COSTS),
            stock=stock,
            turnover=turnover,
            rows=stock_of_lots(lots, today),
            kept=[one for one in kept_now(today) if one.reservation.lot.material_id == material.pk],
            proposal_form=form,
            proposal=proposal_for(material, form) if form.is_bound and form.is_valid() else None,
        )


def proposal_for(material: Material, form: ProposalForm) -> Proposal:
    """Return what to take for what a valid form asks."""
    asked, today = form.cleaned_data, brewery_day()
    return propose(
        material,
        asked["quantity"],
        today=today,
        use_on=asked["use_on"] or today,
        whole_packages=asked["whole_packages"],
    )
