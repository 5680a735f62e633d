"""What is put into a tank beside the beer: finings, salts, hops by hand, and deaerated liquor."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.pages.parts import PartsField
from brewery.kernel.templatetags.shell import quantity
from brewery.production.pages.brew_day.forms import KEYPAD
from brewery.production.pages.cellar.cautions import ALLERGENS, FOAM, GAS
from brewery.production.pages.cellar.fields import ADDED, stock_field
from brewery.production.pages.cellar.work import CODE_LENGTH, Held, WorkForm, WorkPage
from brewery.production.queries.make_up import allergens_in
from brewery.production.services.additions import add_to_tank
from brewery.production.services.dilutions import dilute
from brewery.science.allergens import ALLERGENS as NAMED
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Balance, Lot, Material
from inventory.services.stock import Part


class AdditionForm(WorkForm):
    """A lot, how much of it goes in, and the code of what the tank then holds."""

    names: ClassVar[Mapping[str, str]] = {"vessel": "", "lines": "lot", "location": "lot"}

    lot = stock_field(*ADDED, label="What is added")
    quantity = forms.CharField(label="How much", max_length=60, widget=forms.TextInput(attrs=KEYPAD))
    contents_code = forms.CharField(label="Code of the new contents", max_length=CODE_LENGTH)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        field: Any = self.fields["lot"]
        field.offer()

    def clean(self) -> dict[str, Any]:
        """Return what was typed with the `part`. Adds what is wrong beside its field."""
        read = super().clean()
        row: Balance | None = read.get("lot")
        if row and read.get("quantity"):
            try:
                micro = typed_micro(read["quantity"], row.lot.material.base_unit)
                read["part"] = Part(row.lot, row.location, micro)
            except UnitError as wrong:
                self.add_error("quantity", str(wrong))
        return read


class AdditionPage(WorkPage):
    """Adds something to the tank."""

    right = write_right = Right.CELLAR
    form_class = AdditionForm
    title, submit, done = "Add finings or something else", "Add it", "added"
    cautions = (FOAM, ALLERGENS)

    def told(self, form: Any) -> list[str]:
        """Tell the allergens of what is added, and of the contents then."""
        return allergen_words(form.cleaned_data["part"].lot, form.held.lot)

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Add it."""
        asked = form.cleaned_data
        add_to_tank(vessel=held.vessel, contents_code=asked["contents_code"], additions=[asked["part"]], **facts)


class DilutionForm(AdditionForm):
    """A lot of deaerated liquor, and the strength before, for the strength after."""

    lot = stock_field(Material.Kind.WATER, label="Deaerated liquor")
    strength = PartsField(
        1000,
        least=0,
        most=100,
        label="Alcohol now, in % vol",
        required=False,
        help_text="Where it was measured: the strength after is reckoned from it.",
    )

    field_order = ("lot", "quantity", "strength", "contents_code")


class DilutionPage(WorkPage):
    """Dilutes what the tank holds."""

    right = write_right = Right.CELLAR
    form_class = DilutionForm
    title, submit, done = "Dilute with deaerated liquor", "Dilute it", "diluted"
    cautions = (GAS,)

    def told(self, form: Any) -> list[str]:
        """Tell the volume after, and the strength after as reckoned."""
        before, water = form.held.quantity_micro, form.cleaned_data["part"].quantity_micro
        if not before:
            return []
        after = before + water
        told = [
            f"{quantity(before, 'L')} and {quantity(water, 'L')} of liquor make {quantity(after, 'L')} by the book; "
            "gauge the tank afterwards."
        ]
        strength = form.cleaned_data["strength"]
        if strength is not None:
            reckoned = strength / 1000 * before / after
            told.append(
                f"{strength / 1000:g} % vol become about {reckoned:.2f} % vol. That is reckoned by volume, not "
                "measured: what the label and the duty say is measured."
            )
        return told

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Dilute it."""
        asked = form.cleaned_data
        dilute(vessel=held.vessel, liquor=asked["part"], contents_code=asked["contents_code"], **facts)


def allergen_words(added: Lot, contents: Lot | None) -> list[str]:
    """Return what to know of allergens before a lot goes in; nothing where what is added carries none."""
    brought = allergens_in([added.pk])
    if not brought:
        return []
    there = allergens_in([contents.pk]) if contents else set()
    told = [f"{added.material.name} carries {_named(brought)}. The contents then carry {_named(brought | there)}."]
    if new := brought - there:
        told.append(f"New in this beer: {_named(new)}. Have its label looked at before it is packaged.")
    return told


def _named(codes: set[str]) -> str:
    return ", ".join(one.label for code, one in NAMED.items() if code in codes)
