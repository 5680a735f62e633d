"""Fields of the cellar's forms: a volume, a tank to choose, and a lot where it lies."""

from collections.abc import Iterable, Sequence
from typing import Any

from django import forms

from brewery.kernel.templatetags.shell import quantity
from brewery.production.pages.brew_day.forms import KEYPAD
from brewery.production.queries.knocked_out import Tank, tanks
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Balance, Location, Material
from inventory.services.stock import Part

LONGEST_REASON = 2000


class VolumeField(forms.CharField):
    """A volume, in litres unless a unit is typed; what comes out is microlitres, or None where nothing was typed."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=60, widget=forms.TextInput(attrs=KEYPAD), **options)

    def clean(self, value: Any) -> int | None:
        """Return microlitres. Raises ValidationError."""
        text = super().clean(value)
        try:
            return typed_micro(text, "L") if text else None
        except UnitError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong


class TankField(forms.ChoiceField):
    """A fermenter or bright tank other than the one the page is about, told with what it holds."""

    def offer(self, other_than: Location, *, only_full: bool = False) -> None:
        """The field offers the tanks that are in service; each choice is the tank's code."""
        others = [tank for tank in tanks() if tank.vessel != other_than]
        found = [tank for tank in others if tank.held or not only_full]
        self.choices = [("", "choose a tank"), *((tank.vessel.code, _tank_words(tank)) for tank in found)]

    def clean(self, value: Any) -> Location | None:
        """Return the tank, full or empty: a form that is sent again finds what its first sending left."""
        text = self.to_python(value)
        found = Location.objects.tanks().filter(code=text).first() if text and "\x00" not in text else None
        if found is None and (text or self.required):
            raise forms.ValidationError("Choose a tank.")
        return found


def unclean_field() -> forms.CharField:
    """Return the field for why a tank is filled that was not cleaned."""
    return forms.CharField(
        label="Why it is filled uncleaned",
        required=False,
        max_length=LONGEST_REASON,
        help_text="Only where the tank was not cleaned since its last use: what lay there is then in the trace.",
    )


class StockField(forms.ChoiceField):
    """A lot of some kinds where it lies in places of some kinds; what comes out is its balance."""

    def __init__(self, kinds: Sequence[str], places: Sequence[str] = Location.STOCK, **options: Any) -> None:
        super().__init__(**options)
        self.kinds = kinds
        self.places = places

    def rows(self) -> Any:
        """Return what may be chosen, what is used up included: a form is sent again after it took effect."""
        lying = Balance.objects.filter(location__kind__in=self.places, lot__material__kind__in=self.kinds)
        return lying.select_related("lot__material", "location")

    def offer(self) -> None:
        """The field offers what lies there now, by kind and material."""
        held = self.rows().filter(quantity_micro__gt=0).order_by("lot__material__kind", "lot__material__name", "lot")
        self.offer_words((row, stock_words(row)) for row in held)

    def offer_words(self, told: Iterable[tuple[Balance, str]], empty: str = "choose a lot") -> None:
        """The field offers these rows, each in its words."""
        self.choices = [("", empty), *((str(row.pk), words) for row, words in told)]

    def clean(self, value: Any) -> Balance | None:
        """Return the balance, or None where nothing was chosen. Raises ValidationError."""
        text = self.to_python(value)
        found = self.rows().filter(pk=text).first() if text.isdecimal() and len(text) < len(str(2**63)) else None
        if found is None and (text or self.required):
            raise forms.ValidationError("Choose a lot on the list.")
        return found


def stock_field(*kinds: str, **options: Any) -> StockField:
    """Return a field for a lot of these kinds."""
    return StockField(kinds, **options)


def amount_field(label: str, *, required: bool = True) -> forms.CharField:
    """Return a field for how much of what is chosen beside it, with or without a unit."""
    return forms.CharField(label=label, required=required, max_length=60, widget=forms.TextInput(attrs=KEYPAD))


def part_typed(form: forms.Form, lot: str, amount: str) -> Part | None:
    """Return what of which lot was typed into two fields of the form, or None; what is wrong stands beside the amount.

    Where the lot may be left out, both are given or neither.
    """
    row, typed = form.cleaned_data.get(lot), form.cleaned_data.get(amount)
    if bool(row) != bool(typed) and not form.fields[lot].required:
        form.add_error(amount, "Give the lot and how much of it, or neither.")
    if not row or not typed:
        return None
    try:
        return Part(row.lot, row.location, typed_micro(typed, row.lot.material.base_unit))
    except UnitError as wrong:
        form.add_error(amount, str(wrong))
        return None


NOT_FOR_TANKS = (Material.Kind.PACKAGING, Material.Kind.PACKAGED, Material.Kind.WORT, Material.Kind.BEER)
ADDED = tuple(kind for kind in Material.Kind.values if kind not in NOT_FOR_TANKS)


def _tank_words(tank: Tank) -> str:
    room = "" if tank.room_micro is None else f", room for {quantity(tank.room_micro, 'L')}"
    if tank.held is None:
        unclean = f", not cleaned after {tank.residue.code}" if tank.residue else ""
        return f"{tank.vessel.name}: empty{unclean}{room}"
    return f"{tank.vessel.name}: {quantity(tank.held_micro, 'L')} {tank.held.material.name}, {tank.held.code}{room}"


def stock_words(row: Balance) -> str:
    """Return which lot it is, where and how much of it, and that it is barred where it is."""
    held = quantity(row.quantity_micro, row.lot.material.base_unit)
    barred = "" if row.lot.disposition == "released" else f" ({row.lot.get_disposition_display()})"
    return f"{row.lot.material.name}, {row.lot.code} in {row.location.name}: {held}{barred}"
