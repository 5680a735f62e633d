"""What is asked of whoever does something with a pallet."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import WritingForm
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Lot
from inventory.pages.scanned import LiftingField, LotField, StoreField


class MoveForm(HappenedForm):
    """Where the pallet goes."""

    to_location = StoreField(label="Move it to: scan or name a store")


class LotQuantityForm(HappenedForm):
    """A lot and how much of it."""

    lot = LotField(label="Lot: scan its label, or type its code")
    quantity = forms.CharField(label="Quantity", max_length=60)

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `quantity_micro`. Adds what is wrong beside its field."""
        read = super().clean()
        lot, typed = read.get("lot"), read.get("quantity")
        if isinstance(lot, Lot) and typed:
            try:
                read["quantity_micro"] = typed_micro(typed, lot.material.base_unit)
            except UnitError as wrong:
                self.add_error("quantity", str(wrong))
        return read


class LoadForm(LotQuantityForm):
    """What goes onto the pallet."""

    names: ClassVar[Mapping[str, str]] = {"location": "from_location", "quantity_micro": "quantity"}

    from_location = LiftingField(
        label="From", required=False, help_text="Leave it empty for the store where the pallet stands."
    )


class UnloadForm(LotQuantityForm):
    """What comes off the pallet; without a lot, all of it."""

    names: ClassVar[Mapping[str, str]] = {"lines": "lot", "quantity_micro": "quantity"}

    to_location = StoreField(
        label="Into", required=False, help_text="Leave it empty for the store where the pallet stands."
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["lot"].required = self.fields["quantity"].required = False
        self.fields["lot"].help_text = "Leave it empty for all that lies on the pallet."

    def clean(self) -> dict[str, Any]:
        """Return what was typed. Adds what is missing of a lot and its quantity."""
        read = super().clean()
        for name, other in (("lot", "quantity"), ("quantity", "lot")):
            if read.get(other) and not read.get(name) and name not in self.errors:
                self.add_error(name, "Give a lot and its quantity, or neither for all that lies on the pallet.")
        return read


FORMS: Mapping[str, type[WritingForm]] = {"move_form": MoveForm, "load_form": LoadForm, "unload_form": UnloadForm}
