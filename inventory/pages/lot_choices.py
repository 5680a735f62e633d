"""Form fields that name a lot, scanned or typed, and a quantity of it."""

from typing import Any

from django import forms

from brewery.kernel.errors import DomainError
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Lot
from inventory.services.scans import Scan, read_scan

LONGEST_SCAN = 400


class LotField(forms.CharField):
    """A lot: its code, the barcode of its label, or that of its supplier where one lot alone bears it."""

    def __init__(self, **options: Any) -> None:
        plain = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
        super().__init__(max_length=LONGEST_SCAN, widget=forms.TextInput(attrs=plain), **options)

    def clean(self, value: Any) -> Any:
        """Return the lot with its material, or None where nothing was typed. Raises ValidationError."""
        text = super().clean(value)
        if not text:
            return None
        for code in dict.fromkeys((text, text.upper())):
            try:
                scan = read_scan(code)
            except DomainError:
                continue
            lot = scan.own_lot or _suppliers(scan)
            if lot:
                return lot
        raise forms.ValidationError(f"There is no lot “{text}” on record.", code="unknown_lot")

    def prepare_value(self, value: Any) -> Any:
        """Return what the field shows: the code."""
        return getattr(value, "code", value)


class LotQuantityForm(forms.Form):
    """A form with a `lot`, or one that belongs to a lot, whose `quantity` is read in the lot's unit."""

    lot_of_form: Lot | None = None

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `quantity_micro`, where a quantity was. Adds what is wrong beside its field."""
        read = super().clean() or {}
        lot, typed = read.get("lot") or self.lot_of_form, read.get("quantity")
        if lot and typed:
            try:
                read["quantity_micro"] = typed_micro(typed, lot.material.base_unit)
            except UnitError as wrong:
                self.add_error("quantity", str(wrong))
        return read


def _suppliers(scan: Scan) -> Lot | None:
    if not scan.material or not scan.lot:
        return None
    lots = Lot.objects.filter(material=scan.material, supplier_lot=scan.lot, reversed_by=None)
    found = list(lots.select_related("material")[:2])
    return found[0] if len(found) == 1 else None
