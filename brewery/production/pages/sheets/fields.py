"""Fields of the form that writes a brew sheet: figures as brewers type them, materials by kind."""

import re
from collections.abc import Collection
from typing import Any, ClassVar

from django import forms
from django.db.models import QuerySet

from brewery.science.typed import typed_micro
from brewery.science.units import MICRO, UnitError, format_micro
from inventory.models import Material
from inventory.pages.choices import NamedField

DECIMAL = {"inputmode": "decimal", "autocomplete": "off"}
_HAS_UNIT = re.compile(r"[A-Za-z]")


class FigureField(forms.CharField):
    """A plain decimal, kept in whole parts of one: 12.5 °P as 12 500 thousandths."""

    def __init__(self, parts: int, **options: Any) -> None:
        super().__init__(max_length=30, widget=forms.TextInput(attrs=DECIMAL), **options)
        self.parts = parts

    def clean(self, value: Any) -> Any:
        """Return the parts, or None where nothing was typed. Raises ValidationError."""
        text = super().clean(value).replace("−", "-").strip()
        if not text:
            return None
        sign, digits = (-1, text[1:]) if text.startswith("-") else (1, text)
        try:
            micro = typed_micro(digits, "each")
        except UnitError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong
        if micro * self.parts % MICRO:
            raise forms.ValidationError(f"Up to {len(str(self.parts)) - 1} decimals are kept.")
        return sign * micro * self.parts // MICRO

    def prepare_value(self, value: Any) -> Any:
        """Return what the field shows."""
        return format_micro(value * MICRO // self.parts, "each") if isinstance(value, int) else value


class AmountField(forms.CharField):
    """A quantity with its unit, which is `usual` where it is left out, in micro-units."""

    def __init__(self, base: str, usual: str, **options: Any) -> None:
        super().__init__(max_length=60, widget=forms.TextInput(attrs=DECIMAL), **options)
        self.base, self.usual = base, usual

    def clean(self, value: Any) -> Any:
        """Return the micro-units, or None where nothing was typed. Raises ValidationError."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return typed_micro(text if _HAS_UNIT.search(text) else f"{text} {self.usual}", self.base)
        except UnitError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong

    def prepare_value(self, value: Any) -> Any:
        """Return what the field shows, in the usual unit."""
        return f"{format_micro(value, self.usual)} {self.usual}" if isinstance(value, int) else value


class KindField(NamedField):
    """A material of certain kinds."""

    kinds: ClassVar[Collection[str]]

    def rows(self) -> QuerySet[Any]:
        """Return the materials of these kinds."""
        return Material.objects.filter(kind__in=self.kinds)


class BeerField(KindField):
    """A beer."""

    thing, offers, kinds = "beer", "beers", (Material.Kind.BEER,)


class GrainField(KindField):
    """A malt or adjunct."""

    thing, offers, kinds = "malt or adjunct", "grains", (Material.Kind.MALT, Material.Kind.ADJUNCT)


class HopField(KindField):
    """A hop."""

    thing, offers, kinds = "hop", "hops", (Material.Kind.HOP,)


class SaltField(KindField):
    """A salt."""

    thing, offers, kinds = "salt", "salts", (Material.Kind.SALT,)


class YeastField(KindField):
    """A yeast."""

    thing, offers, kinds = "yeast", "yeasts", (Material.Kind.YEAST,)


class WaterField(KindField):
    """A water."""

    thing, offers, kinds = "water", "waters", (Material.Kind.WATER,)


def offered() -> list[dict[str, Any]]:
    """Return the lists of codes that the form offers below its fields."""
    fields = (BeerField, GrainField, HopField, SaltField, YeastField, WaterField)
    kinds = {kind for field in fields for kind in field.kinds}
    materials = list(Material.objects.filter(kind__in=kinds).only("code", "name", "kind"))
    return [
        {"id": field.offers, "rows": [material for material in materials if material.kind in field.kinds]}
        for field in fields
    ]
