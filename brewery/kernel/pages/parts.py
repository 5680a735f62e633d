"""Numbers in a form that are kept in whole parts of one: a percentage in millionths, a temperature in thousandths."""

from fractions import Fraction
from typing import Any

from django import forms

from brewery.science.typed import with_point
from brewery.science.units import MICRO, UnitError, format_micro, to_micro


class PartsField(forms.CharField):
    """A decimal, typed with a point or a comma; what comes out is whole parts, or None where nothing was typed."""

    def __init__(self, parts: int, **options: Any) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(max_length=30, widget=widget, **options)
        self.parts = parts

    def clean(self, value: Any) -> int | None:
        """Return the number in parts. Raises ValidationError."""
        text = super().clean(value)
        if not text:
            return None
        try:
            exact = Fraction(to_micro(with_point(text), "each") * self.parts, MICRO)
        except UnitError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong
        if exact.denominator != 1:
            places = len(str(self.parts)) - 1
            raise forms.ValidationError(f"It is written more finely than it is kept: up to {places} decimals.")
        return int(exact)

    def prepare_value(self, value: Any) -> Any:
        """Return what the field shows: what was typed, or the parts as a decimal."""
        return format_micro(value * MICRO // self.parts, "each") if isinstance(value, int) else value
