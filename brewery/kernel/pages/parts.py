"""Numbers in a form that are kept in whole parts of one: a percentage in millionths, a temperature in thousandths."""

from fractions import Fraction
from typing import Any

from django import forms

from brewery.science.typed import with_point
from brewery.science.units import MICRO, UnitError, format_micro, to_micro


class PartsField(forms.CharField):
    """A decimal, typed with a point or a comma; what comes out is whole parts, or None where nothing was typed.

    `least` and `most` bound it, in whole ones.
    """

    def __init__(self, parts: int, *, least: int | None = None, most: int | None = None, **options: Any) -> None:
        widget = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
        super().__init__(max_length=30, widget=widget, **options)
        self.parts, self.least, self.most = parts, least, most

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
        self._refuse_beyond(exact)
        return int(exact)

    def _refuse_beyond(self, exact: Fraction) -> None:
        if self.least is not None and exact < self.least * self.parts:
            raise forms.ValidationError(f"Give {self.least} or more.")
        if self.most is not None and exact > self.most * self.parts:
            raise forms.ValidationError(f"Give {self.most} or less.")

    def prepare_value(self, value: Any) -> Any:
        """Return what the field shows: what was typed, or the parts as a decimal."""
        return format_micro(value * MICRO // self.parts, "each") if isinstance(value, int) else value
