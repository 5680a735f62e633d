"""Form fields for what a certificate states, one a property, each with its unit and what is asked."""

from datetime import date
from typing import Any

from django import forms

from brewery.kernel.pages.days import DayInput
from brewery.science.properties import Form, NotAReading, Property, read
from brewery.science.typed import with_point
from brewery.science.units import UnitError
from inventory.models import Material
from inventory.queries.certificates import properties_of
from inventory.queries.specifications import in_force, limits_of

PREFIX = "value-"


class ReadingField(forms.CharField):
    """One value as the certificate states it; what comes out is what was written, known to be readable."""

    def __init__(self, measured: Property, limits: str) -> None:
        super().__init__(
            label=f"{measured.label}, {measured.unit}" if measured.unit else measured.label,
            help_text=limits,
            required=False,
            max_length=120,
            widget=_input(measured),
        )
        self.measured = measured

    def clean(self, value: Any) -> str:
        """Return the value. Raises ValidationError."""
        text: str = super().clean(value)
        if not text:
            return ""
        try:
            written = with_point(text) if self.measured.is_number else text
            read(self.measured, written)
        except (UnitError, NotAReading) as wrong:
            raise forms.ValidationError(str(wrong)) from wrong
        return written


def _input(measured: Property) -> forms.Widget:
    if measured.form is Form.CHOICE:
        return forms.Select(choices=[("", "not stated"), *((one, one) for one in measured.choices)])
    if measured.form is Form.DAY:
        return DayInput()
    return forms.TextInput(attrs={"autocomplete": "off", "inputmode": "decimal" if measured.is_number else "text"})


def value_fields(material: Material, day: date) -> dict[str, ReadingField]:
    """Return a field for each property that a certificate of the material may state, what is asked for first."""
    asked = in_force([material.pk], day).get(material.pk, {})
    properties = properties_of(material.kind)
    order = sorted(properties, key=lambda key: key not in asked)
    return {
        PREFIX + key: ReadingField(properties[key], f"Asked: {limits_of(asked[key])}." if key in asked else "")
        for key in order
    }
