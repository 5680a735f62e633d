"""Harvesting the yeast of a tank into a store or brink."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.templatetags.shell import quantity
from brewery.production.pages.brew_day.forms import KEYPAD
from brewery.production.pages.cellar.cautions import GAS
from brewery.production.pages.cellar.fields import VolumeField, unclean_field
from brewery.production.pages.cellar.work import CODE_LENGTH, Held, WorkForm, WorkPage
from brewery.production.pages.cellar.yeast_places import UNCLEAN_HELP, YeastPlaceField
from brewery.production.services.harvests import harvest_yeast
from brewery.science.generations import crop_generation
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Material
from inventory.queries.cultures import yeasts_in
from inventory.services.lot_codes import free_codes


class HarvestForm(WorkForm):
    """How much yeast, where it goes, and how much beer went with it."""

    names: ClassVar[Mapping[str, str]] = {
        "vessel": "",
        "lot": "",
        "code": "yeast_code",
        "beer_quantity": "beer",
        "yeast_micro": "quantity",
    }

    quantity = forms.CharField(label="How much yeast", max_length=60, widget=forms.TextInput(attrs=KEYPAD))
    beer = VolumeField(label="Beer that went with it", help_text="In litres.")
    location = YeastPlaceField(label="Into")
    yeast_code = forms.CharField(label="Code of the yeast", max_length=CODE_LENGTH)
    unclean_reason = unclean_field()

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["location"].offer()  # type: ignore[attr-defined] # it is a YeastPlaceField
        self.fields["unclean_reason"].help_text = UNCLEAN_HELP
        if "override_reason" in self.fields:
            self.fields["override_reason"].help_text = "For a harvest that is refused, and for a lot that is."

    def clean(self) -> dict[str, Any]:
        """Return what was typed with the `yeast_micro`, in the unit of the yeast at work. Adds what is wrong."""
        read = super().clean()
        if read.get("quantity"):
            mothers = yeasts_in(self.held.lot) if self.held.lot else []
            try:
                read["yeast_micro"] = typed_micro(read["quantity"], mothers[-1].material.base_unit if mothers else "kg")
            except UnitError as wrong:
                self.add_error("quantity", str(wrong))
        return read


class HarvestPage(WorkPage):
    """Harvests the yeast of the tank."""

    right = write_right = Right.CELLAR
    form_class = HarvestForm
    title, submit, done = "Harvest yeast", "Harvest it", "harvested"
    cautions = (GAS,)

    def proposals(self, held: Held) -> dict[str, Any]:
        """Propose a code of the yeast."""
        return {"yeast_code": next(free_codes(Material.Kind.YEAST, brewery_day()))}

    def told(self, form: Any) -> list[str]:
        """Tell what generation the crop is, and what stays in the tank."""
        held, asked = form.held, form.cleaned_data
        if not held.lot or held.lot.generation is None or asked["beer"] > held.quantity_micro:
            return []
        rest = quantity(held.quantity_micro - asked["beer"], "L")
        return [
            f"The crop is of generation {crop_generation([held.lot.generation])}. {rest} stay in {held.vessel.name}.",
            "Count it, and have it looked at for what does not belong in it, before it is pitched.",
        ]

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Harvest it."""
        asked = form.cleaned_data
        harvest_yeast(
            vessel=held.vessel,
            beer_micro=asked["beer"],
            yeast_code=asked["yeast_code"],
            yeast_micro=asked["yeast_micro"],
            location=asked["location"],
            unclean_reason=asked["unclean_reason"],
            **facts,
        )
