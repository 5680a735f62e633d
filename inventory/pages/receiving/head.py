"""The head of a delivery: who brought what note when, in what condition."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, ClassVar

from django import forms

from brewery.kernel.pages.moments import MomentInput
from inventory.models import Delivery
from inventory.pages.choices import SupplierField
from inventory.pages.receiving.notes import NotedForm
from inventory.services.delivery_drafts import HEADER

MILLI = 1000


class TemperatureField(forms.DecimalField):
    """Degrees Celsius as a thermometer shows them; a comma is a decimal comma."""

    def __init__(self, **options: Any) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(widget=widget, min_value=-80, max_value=120, decimal_places=3, **options)

    def to_python(self, value: Any) -> Any:
        """Return the number. Raises ValidationError."""
        return super().to_python(value.replace(",", ".") if isinstance(value, str) else value)


class HeadForm(NotedForm):
    """The head, all of it or what of it was changed."""

    names: ClassVar[Mapping[str, str]] = {"temperature_milli_c": "temperature"}

    supplier = SupplierField(label="Supplier")
    note_number = forms.CharField(label="Delivery note number", required=False, max_length=60)
    same_note_confirmed = forms.BooleanField(label="This is another delivery under the same note", required=False)
    arrived_at = forms.DateTimeField(label="Arrived at", widget=MomentInput)
    carrier = forms.CharField(label="Carrier", required=False, max_length=80)
    vehicle = forms.CharField(label="Vehicle", required=False, max_length=40)
    temperature = TemperatureField(label="Temperature on arrival, °C", required=False)
    condition = forms.ChoiceField(
        label="Condition", required=False, choices=[("", "not looked at yet"), *Delivery.Condition.choices]
    )
    condition_note = forms.CharField(label="What was wrong, and what was done", required=False, max_length=200)
    pallet = forms.CharField(label="Pallet being unloaded (SSCC)", required=False, max_length=18)


class NewHeadForm(HeadForm):
    """The head of a new delivery; a note that came before is questioned once there is a draft."""

    same_note_confirmed = None  # type: ignore[assignment]  # how Django takes a field away
    pallet = None  # type: ignore[assignment]


def facts_of(cleaned: Mapping[str, Any]) -> dict[str, Any]:
    """Return what was typed as the service takes it."""
    facts = {name: value for name, value in cleaned.items() if name in HEADER}
    if "temperature" in cleaned:
        typed = cleaned["temperature"]
        facts["temperature_milli_c"] = None if typed is None else int(typed * MILLI)
    return facts


def initial_of(draft: Delivery) -> dict[str, Any]:
    """Return what the form shows of a draft."""
    shown = {name: getattr(draft, name) for name in HEADER if name != "temperature_milli_c"}
    degrees = draft.temperature_milli_c
    return {**shown, "temperature": "" if degrees is None else f"{degrees / MILLI:g}"}


def differs(draft: Delivery, name: str, value: Any) -> bool:
    """Return whether the draft says otherwise; the page knows of minutes only."""
    there = getattr(draft, name)
    if isinstance(value, datetime):
        return bool(there.replace(second=0, microsecond=0) != value)
    return bool(there != value)
