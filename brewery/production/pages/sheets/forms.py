"""The form that writes a brew sheet: its head, and a list of lines for each part of it."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.forms import BaseFormSet, formset_factory

from brewery.kernel.pages.writing import WritingForm
from brewery.production.models import CellarStep, MashStep, SheetHop, SheetIon, SheetSalt
from brewery.production.pages.sheets.fields import (
    DECIMAL,
    AmountField,
    BeerField,
    FigureField,
    GrainField,
    HopField,
    SaltField,
    WaterField,
    YeastField,
)
from brewery.production.queries.sheet_contents import CellarLine, GrainLine, HopLine, MashLine, SaltLine
from inventory.models import Material

MILLI, PPM_PER_PCT = 1_000, 10_000
MOST_LINES = 100
SPARE_LINES = 2
BLANK = ("", "—")

SMALL_UNITS: Mapping[str, str] = {"kg": "g", "L": "mL", "each": "each"}
"""What little of a material is measured in."""

WEIGHT, ALPHA = "weight", "alpha"


class LineForm(forms.Form):
    """One line of a list; a line that is left empty is left out. `needed` is what any other line says.

    Each kind has a `line`, which returns the line as a sheet says it.
    """

    needed: ClassVar[tuple[str, ...]] = ()
    names: ClassVar[Mapping[str, str]] = {}
    """What the service calls a field, where it calls it otherwise."""

    def clean(self) -> dict[str, Any]:
        """Return what was typed. Adds what is missing beside its field."""
        read = super().clean() or {}
        if self.is_left_empty:
            return read
        for name in self.needed:
            if read.get(name) in (None, "") and name not in self.errors:
                self.add_error(name, "The line needs this, or leave all of it empty.")
        return read

    @property
    def is_left_empty(self) -> bool:
        """Whether nothing at all was typed into the line."""
        return not self.errors and all(value in (None, "") for value in self.cleaned_data.values())


class GrainForm(LineForm):
    """A malt or adjunct."""

    needed = ("material",)
    names = {"share_pct": "share"}

    material = GrainField(label="Malt", required=False)
    share = FigureField(PPM_PER_PCT, label="Share, %", required=False)
    weight = AmountField("kg", "kg", label="or weight, kg", required=False)

    def line(self) -> GrainLine:
        """Return the grain."""
        read = self.cleaned_data
        return GrainLine(read["material"], read["share"], read["weight"])


class HopForm(LineForm):
    """A hop addition."""

    needed = ("material", "stage", "minutes", "amount")
    names = {"weight": "amount", "alpha": "amount", "temperature_c": "temperature"}

    material = HopField(label="Hop", required=False)
    stage = forms.ChoiceField(label="When", required=False, choices=[BLANK, *SheetHop.Stage.choices])
    minutes = forms.IntegerField(label="Minutes", required=False, min_value=0, max_value=10**6)
    temperature = FigureField(MILLI, label="At, °C", required=False)
    amount = AmountField("kg", "kg", label="How much", required=False)
    of = forms.ChoiceField(
        label="That is", required=False, choices=[BLANK, (WEIGHT, "weight of hops"), (ALPHA, "weight of alpha acids")]
    )

    def line(self) -> HopLine:
        """Return the addition."""
        read = self.cleaned_data
        amounts = {"alpha_micro": read["amount"]} if read["of"] == ALPHA else {"weight_micro": read["amount"]}
        return HopLine(read["material"], read["stage"], read["minutes"], read["temperature"], **amounts)


class SaltForm(LineForm):
    """A salt or acid, in a unit of what it is counted in: in grams or millilitres where none is typed."""

    needed = ("material", "into", "quantity")

    material = SaltField(label="Salt", required=False)
    into = forms.ChoiceField(label="Into", required=False, choices=[BLANK, *SheetSalt.Into.choices])
    quantity = forms.CharField(
        label="How much, g or mL", required=False, max_length=60, widget=forms.TextInput(attrs=DECIMAL)
    )

    def clean(self) -> dict[str, Any]:
        """Return what was typed, the quantity in micro-units of the material."""
        read = super().clean()
        if read.get("material") and read.get("quantity"):
            base = read["material"].base_unit
            try:
                read["quantity"] = AmountField(base, SMALL_UNITS[base]).clean(read["quantity"])
            except forms.ValidationError as wrong:
                self.add_error("quantity", wrong)
        return read

    def line(self) -> SaltLine:
        """Return the salt."""
        read = self.cleaned_data
        return SaltLine(read["material"], read["into"], read["quantity"])


class MashForm(LineForm):
    """A step of the mash. `number` is its place in the order, where it is not that of the page."""

    needed = ("action", "vessel", "temperature", "minutes")
    names = {"temperature_c": "temperature", "share_pct": "share"}

    number = forms.IntegerField(label="Step", required=False, min_value=1, max_value=MOST_LINES)
    action = forms.ChoiceField(label="Do", required=False, choices=[BLANK, *MashStep.Action.choices])
    vessel = forms.ChoiceField(label="In", required=False, choices=[BLANK, *MashStep.Vessel.choices])
    temperature = FigureField(MILLI, label="To be, °C", required=False)
    minutes = forms.IntegerField(label="Minutes", required=False, min_value=0, max_value=10**6)
    share = FigureField(PPM_PER_PCT, label="Part drawn off, %", required=False)

    @property
    def is_left_empty(self) -> bool:
        """Whether nothing but a number was typed."""
        typed = {name: value for name, value in self.cleaned_data.items() if name != "number"}
        return not self.errors and all(value in (None, "") for value in typed.values())

    def line(self) -> MashLine:
        """Return the step."""
        read = self.cleaned_data
        return MashLine(read["vessel"], read["action"], read["temperature"], read["minutes"], read["share"])


class CellarForm(LineForm):
    """A stretch of days in the cellar."""

    needed = ("phase", "temperature", "days")
    names = {"temperature_c": "temperature"}

    phase = forms.ChoiceField(label="Phase", required=False, choices=[BLANK, *CellarStep.Phase.choices])
    temperature = FigureField(MILLI, label="To be, °C", required=False)
    days = forms.IntegerField(label="Days", required=False, min_value=0, max_value=10**6)

    def line(self) -> CellarLine:
        """Return the days."""
        read = self.cleaned_data
        return CellarLine(read["phase"], read["temperature"], read["days"])


def _lines(form: type[LineForm]) -> "type[BaseFormSet[Any]]":
    made: type[BaseFormSet[Any]] = formset_factory(form, extra=SPARE_LINES, absolute_max=MOST_LINES, max_num=MOST_LINES)
    return made


LINES: Mapping[str, tuple[str, "type[BaseFormSet[Any]]"]] = {
    "grains": ("Grain", _lines(GrainForm)),
    "salts": ("Salts", _lines(SaltForm)),
    "mash_steps": ("Mash", _lines(MashForm)),
    "hops": ("Hops", _lines(HopForm)),
    "cellar_steps": ("Cellar", _lines(CellarForm)),
}
"""The lists of a sheet in the order of the day: what each is called, and its forms."""


class SheetForm(WritingForm):
    """The head of a sheet. What a sheet cannot say is told by the service, beside its field."""

    cold_wort = AmountField("L", "hL", label="Cold wort, hL")
    original_gravity_p = FigureField(MILLI, label="Original gravity, °P")
    final_gravity_p = FigureField(MILLI, label="Final gravity, °P")
    bitterness_bu = FigureField(MILLI, label="Bitterness, BU", required=False)
    colour_ebc = FigureField(MILLI, label="Colour, EBC", required=False)
    yield_pct = FigureField(PPM_PER_PCT, label="Yield of the brewhouse, % of the grain")
    boil_minutes = forms.IntegerField(label="Boil, minutes", min_value=0, max_value=10**6)
    evaporation_pct = FigureField(PPM_PER_PCT, label="Evaporation, %", required=False)
    liquor = WaterField(label="Water", required=False)
    mash_liquor = AmountField("L", "hL", label="Mash liquor, hL", required=False)
    sparge_liquor = AmountField("L", "hL", label="Sparge liquor, hL", required=False)
    yeast = YeastField(label="Yeast", required=False)
    pitch_cells = FigureField(1_000_000, label="Pitching rate, million cells for each mL and °P", required=False)
    kraeusen_pct = FigureField(PPM_PER_PCT, label="Kraeusen, % of the blend", required=False)
    is_filtered = forms.BooleanField(label="The beer is filtered", required=False)
    formats = forms.ModelMultipleChoiceField(
        Material.objects.filter(kind=Material.Kind.PACKAGED),
        label="Filled as",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    note = forms.CharField(label="Note", required=False, max_length=4_000, widget=forms.Textarea(attrs={"rows": 4}))

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for ion in SheetIon.Ion:
            self.fields[ion.value] = FigureField(MILLI, label=f"{ion.label.capitalize()}, mg/L", required=False)


class NewSheetForm(SheetForm):
    """The head of the first draft of a beer's next version."""

    beer = BeerField(label="Beer")
    field_order = ("request_id", "beer")


class ChangeSheetForm(SheetForm):
    """The head of a draft as it is, and the revision that was seen."""

    revision = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
