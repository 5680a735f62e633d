"""Filtration: beer through a filter into an empty tank, with aids and losses."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.templatetags.shell import quantity
from brewery.production.pages.brew_day.forms import KEYPAD
from brewery.production.pages.cellar.additions import allergen_words
from brewery.production.pages.cellar.cautions import GAS
from brewery.production.pages.cellar.fields import TankField, VolumeField, stock_field, unclean_field
from brewery.production.pages.cellar.work import CODE_LENGTH, Held, WorkForm, WorkPage
from brewery.production.queries.plausible import volume_doubts
from brewery.production.services.filtrations import filter_beer
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Material
from inventory.services.stock import Part

AIDS = (1, 2)


class FiltrationForm(WorkForm):
    """Where the bright beer goes, how much of it, what was lost, and the aids that it met."""

    names: ClassVar[Mapping[str, str]] = {"vessel": "", "from_vessel": "", "aids": "aid_1", "loss_micro": "loss"}

    to_vessel = TankField(label="Into the empty tank")
    quantity = VolumeField(label="Arrives there", help_text="In litres, as gauged.")
    loss = VolumeField(
        label="Lost in the filter", required=False, help_text="In litres: pre-run, after-run, what the lines keep."
    )
    aid_1 = stock_field(Material.Kind.FILTER_AID, label="Filter aid", required=False)
    aid_1_quantity = forms.CharField(
        label="How much of it", required=False, max_length=60, widget=forms.TextInput(attrs=KEYPAD)
    )
    aid_2 = stock_field(Material.Kind.FILTER_AID, label="Second filter aid", required=False)
    aid_2_quantity = forms.CharField(
        label="How much of that", required=False, max_length=60, widget=forms.TextInput(attrs=KEYPAD)
    )
    contents_code = forms.CharField(label="Code of the bright beer", max_length=CODE_LENGTH)
    unclean_reason = unclean_field()

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        fields: Any = self.fields
        fields["to_vessel"].offer(self.held.vessel)
        for number in AIDS:
            fields[f"aid_{number}"].offer()

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `aids`. Adds what is wrong beside its field."""
        read = super().clean()
        read["aids"] = [part for number in AIDS if (part := self._aid(read, number))]
        return read

    def _aid(self, read: dict[str, Any], number: int) -> Part | None:
        row, typed = read.get(f"aid_{number}"), read.get(f"aid_{number}_quantity")
        if bool(row) != bool(typed):
            self.add_error(f"aid_{number}_quantity", "Give the lot and how much of it, or neither.")
        if not row or not typed:
            return None
        try:
            return Part(row.lot, row.location, typed_micro(typed, row.lot.material.base_unit))
        except UnitError as wrong:
            self.add_error(f"aid_{number}_quantity", str(wrong))
            return None


class FiltrationPage(WorkPage):
    """Filters what the tank holds."""

    right = write_right = Right.CELLAR
    form_class = FiltrationForm
    title, submit, done = "Filter into another tank", "Filter it", "filtered"
    cautions = (GAS,)

    def told(self, form: Any) -> list[str]:
        """Tell what stays in the tank, what is unusual of the volumes, and the allergens of the aids."""
        asked, held = form.cleaned_data, form.held
        loss = asked["loss"] or 0
        told = volume_doubts(held.quantity_micro, asked["quantity"], loss)
        for aid in asked["aids"]:
            told += allergen_words(aid.lot, held.lot)
        rest = held.quantity_micro - asked["quantity"] - loss
        if told and rest > 0:
            told.append(f"{quantity(rest, 'L')} stay in {held.vessel.name}.")
        return told

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Filter it."""
        asked = form.cleaned_data
        filter_beer(
            from_vessel=held.vessel,
            to_vessel=asked["to_vessel"],
            contents_code=asked["contents_code"],
            quantity_micro=asked["quantity"],
            loss_micro=asked["loss"] or 0,
            aids=asked["aids"],
            unclean_reason=asked["unclean_reason"],
            **facts,
        )
