"""Dry hopping: the lots with alpha and oil as they are that day, and the dose by weight or by oil."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, ClassVar

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.clock import now
from brewery.kernel.pages.parts import PartsField
from brewery.kernel.templatetags.shell import quantity
from brewery.production.pages.brew_day.forms import KEYPAD
from brewery.production.pages.cellar.additions import allergen_words
from brewery.production.pages.cellar.cautions import FOAM, GAS
from brewery.production.pages.cellar.fields import stock_field
from brewery.production.pages.cellar.work import CODE_LENGTH, Held, WorkForm, WorkPage
from brewery.production.queries.certified import Stated
from brewery.production.queries.hop_shelf import (
    HopOffer,
    hops_on_the_shelf,
    oil_ml_hl,
    weight_by_oil_micro,
    weight_micro,
)
from brewery.production.services.additions import add_to_tank
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Balance, Material
from inventory.services.stock import Part

_PARTS = 1000
BY = (("g_l", "g hops in 1 L of beer"), ("oil", "mL hop oil in 1 hL of beer"), ("weight", "weighed, as typed"))


class DryHopForm(WorkForm):
    """A lot, and a dose in the measure that is chosen; a weight that is typed goes before any dose."""

    names: ClassVar[Mapping[str, str]] = {"vessel": "", "lines": "lot", "location": "lot"}

    lot = stock_field(Material.Kind.HOP, label="Hops")
    by = forms.ChoiceField(label="Dose in", choices=BY, initial="g_l")
    dose = PartsField(_PARTS, least=0, label="Dose", required=False, help_text="In the measure chosen above.")
    quantity = forms.CharField(
        label="Or weighed",
        required=False,
        max_length=60,
        widget=forms.TextInput(attrs=KEYPAD),
        help_text="In kg, or with another unit.",
    )
    contents_code = forms.CharField(label="Code of the new contents", max_length=CODE_LENGTH)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.shelf: list[HopOffer] = hops_on_the_shelf(self._moment())
        field: Any = self.fields["lot"]
        field.offer_words((offer.balance, offer.words) for offer in self.shelf)

    def _moment(self) -> datetime:
        """The moment typed, so far as it can be read; what cannot is told beside its field."""
        try:
            return self.fields["happened_at"].clean(self.data.get("happened_at")) or now()
        except forms.ValidationError:
            return now()

    def clean(self) -> dict[str, Any]:
        """Return what was typed with the `part`. Adds what is wrong beside its field."""
        read = super().clean()
        row: Balance | None = read.get("lot")
        if row is None or self.errors:
            return read
        micro = self._weighed(read) if read["by"] == "weight" or read["quantity"] else self._dosed(read, row)
        if micro and not self.errors:
            read["part"] = Part(row.lot, row.location, micro)
        elif not self.errors:
            self.add_error("dose", "Say how much: a dose, or a weight.")
        return read

    def _weighed(self, read: dict[str, Any]) -> int:
        try:
            return typed_micro(read["quantity"], "kg") if read["quantity"] else 0
        except UnitError as wrong:
            self.add_error("quantity", str(wrong))
            return 0

    def _dosed(self, read: dict[str, Any], row: Balance) -> int:
        volume, dose = self.held.quantity_micro, (read["dose"] or 0) / _PARTS
        if not volume or not dose:
            return 0
        if read["by"] == "g_l":
            return weight_micro(dose, volume)
        oil = self._oil_of(row)
        if oil is None:
            self.add_error("by", f"The oil of lot {row.lot.code} is not certified: dose it by weight.")
            return 0
        return weight_by_oil_micro(dose, volume, oil)

    def _oil_of(self, row: Balance) -> Stated | None:
        return next((offer.oil for offer in self.shelf if offer.balance.pk == row.pk), None)


class DryHopPage(WorkPage):
    """Puts hops to the beer in the tank."""

    right = write_right = Right.CELLAR
    form_class = DryHopForm
    title, submit, done = "Dry hop", "Dry hop it", "dry hopped"
    cautions = (FOAM, GAS)

    def told(self, form: Any) -> list[str]:
        """Tell the weight, what it is in the tank, and what the lot holds that day."""
        part, volume = form.cleaned_data["part"], form.held.quantity_micro
        if not volume:
            return []
        offer = next((one for one in form.shelf if one.balance.lot_id == part.lot.pk), None)
        told = [
            f"Weigh {quantity(part.quantity_micro, 'kg')} of lot {part.lot.code} from {part.location.name}: "
            f"{1000 * part.quantity_micro / volume:.2f} g in a litre of {quantity(volume, 'L')}."
        ]
        if offer and offer.alpha:
            told.append(f"Alpha acids: {offer.alpha.why}.")
        if offer and offer.oil:
            told.append(
                f"Oil {offer.oil.value:g} mL/100 g by {offer.oil.source}: "
                f"{oil_ml_hl(part.quantity_micro, volume, offer.oil):.2f} mL in a hectolitre, as certified; "
                "oil goes on leaving in store."
            )
        return [*told, *allergen_words(part.lot, form.held.lot)]

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Add the hops."""
        asked = form.cleaned_data
        add_to_tank(vessel=held.vessel, contents_code=asked["contents_code"], additions=[asked["part"]], **facts)
