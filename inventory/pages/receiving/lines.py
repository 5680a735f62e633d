"""A line of a delivery, as a form: all of it, or what of it was changed."""

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar

from django import forms

from brewery.kernel.pages.days import DayInput
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError, format_micro
from inventory.models import DeliveryLine, Location, Material, OrderLine
from inventory.pages.choices import MaterialField, StockPlaceField
from inventory.pages.receiving.notes import NotedForm

QUANTITIES = {"quantity": "quantity_micro", "note_quantity": "note_quantity_micro", "package_size": "package_micro"}
"""Fields that hold a quantity, and what the services call them."""

TELLING = ("quantity", "location", "note_quantity", "supplier_lot", "best_before")
"""What a line always shows; the rest is folded away until it is needed."""


class QuantityField(forms.CharField):
    """A number with a unit, which may be left out; what it is in comes with the material."""

    def __init__(self, label: str) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(label=label, required=False, max_length=60, widget=widget)


class LineForm(NotedForm):
    """One line. Nothing is required: what is missing is told beside its field, and before the booking."""

    names: ClassVar[Mapping[str, str]] = {service: field for field, service in QUANTITIES.items()}

    quantity = QuantityField("Weighed")
    location = StockPlaceField(label="Put into", required=False)
    note_quantity = QuantityField("On the note")
    supplier_lot = forms.CharField(label="Supplier's lot", required=False, max_length=60)
    best_before = forms.DateField(label="Best before", required=False, widget=DayInput)
    difference_reason = forms.CharField(label="Why it differs", required=False, max_length=200)
    contents_code = forms.CharField(label="Code of the silo's new contents", required=False, max_length=20)
    material = MaterialField(label="Material", required=False)
    order_line = forms.ChoiceField(label="Ordered as", required=False)
    package_count = forms.IntegerField(label="Packages", required=False, min_value=1, max_value=1_000_000)
    package_size = QuantityField("Content of a package")
    crop_year = forms.IntegerField(label="Crop year", required=False, min_value=1950, max_value=2999)
    generation = forms.IntegerField(label="Generation", required=False, min_value=1, max_value=999)
    lot_code = forms.CharField(label="Our lot code", required=False, max_length=20)
    sscc = forms.CharField(label="On pallet (SSCC)", required=False, max_length=18)

    def __init__(self, *args: Any, line: DeliveryLine, orders: Sequence[OrderLine], **options: Any) -> None:
        options.setdefault("auto_id", f"line-{line.pk}-%s")
        super().__init__(*args, **options)
        self.line = line
        self.orders = {str(ordered.pk): ordered for ordered in orders}
        self._leave_out_what_cannot_be()
        if not self.is_bound:
            self.initial.update(initial_of(line))

    @property
    def unit(self) -> str:
        """What the material is counted in."""
        return self.line.material.base_unit

    def facts(self, names: Sequence[str]) -> dict[str, Any]:
        """Return what the fields of these names say otherwise than the line, as the service takes it.

        The form is valid.
        """
        told: dict[str, Any] = {}
        for name in names:
            value = self.cleaned_data[name]
            if name in QUANTITIES:
                told |= self._quantity(name, value)
            else:
                told[name] = self.orders.get(value) if name == "order_line" else value
        changed = {name: value for name, value in told.items() if getattr(self.line, name) != value}
        return changed if changed.keys() != {"quantity_typed"} else {}

    def clean(self) -> dict[str, Any]:
        """Return what was typed. A material cannot be left empty: a line that is of none is removed."""
        read = super().clean() or {}
        if "material" in self.data and read.get("material") is None and "material" not in self.errors:
            self.add_error("material", "A line is of some material; remove the line if nothing came.")
        for name in QUANTITIES:
            if read.get(name):
                try:
                    read[name] = (typed_micro(read[name], self.unit), read[name])
                except UnitError as wrong:
                    self.add_error(name, str(wrong))
        return read

    def _quantity(self, name: str, value: Any) -> dict[str, Any]:
        micro, typed = value or (None, "")
        told = {QUANTITIES[name]: micro}
        return told | {"quantity_typed": typed} if name == "quantity" else told

    def _leave_out_what_cannot_be(self) -> None:
        line = self.line
        choices = [(key, words_of(ordered)) for key, ordered in self.orders.items()]
        self.fields["order_line"].choices = [("", "no order"), *choices]  # type: ignore[attr-defined]
        silo = line.location is not None and line.location.kind == Location.Kind.SILO
        needed = {
            "order_line": bool(self.orders),
            "generation": line.material.kind == Material.Kind.YEAST,
            "contents_code": silo or bool(line.contents_code),
        }
        for name, is_needed in needed.items():
            if not is_needed:
                del self.fields[name]


def words_of(ordered: OrderLine) -> str:
    """Return an order line in a few words."""
    unit = ordered.material.base_unit
    quantity = f"{format_micro(ordered.quantity_micro, unit)} {unit}"
    return f"{ordered.order.number}: {ordered.material}, {quantity}"


def initial_of(line: DeliveryLine) -> dict[str, Any]:
    """Return what the form shows of a line."""
    unit = line.material.base_unit
    shown: dict[str, Any] = {
        name: getattr(line, name) for name in LineForm.base_fields if name not in QUANTITIES and hasattr(line, name)
    }
    for name, service in QUANTITIES.items():
        micro = getattr(line, service)
        shown[name] = "" if micro is None else f"{format_micro(micro, unit)} {unit}"
    return {**shown, "order_line": str(line.order_line_id or "")}
