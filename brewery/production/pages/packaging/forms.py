"""The forms of the filling hall. Each says when it was noted, so that what waits for a connection keeps its moment."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import WritingForm
from brewery.production.models import PackagingRun
from brewery.production.pages.brew_day.forms import KEYPAD, DrawForm, NotedForm
from brewery.production.services.filled_tanks import TankDraw
from brewery.production.services.packaging import LONGEST_LINE, Counted
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError, format_micro
from inventory.models import Location, Lot, Material
from inventory.pages.scanned import StoreField
from inventory.services.stock import Part

DIGITS = {"inputmode": "numeric", "autocomplete": "off"}
MOST = 1_000_000_000
TANKS = 3
"""How many tanks one fill may name on the page; the API takes more."""
BACK = "back-"
LONGEST_KEY = 19


class RunForm(HappenedForm):
    """A packaging run to start."""

    names: ClassVar[Mapping[str, str]] = {"started_at": "happened_at"}
    moment = "started_at"

    code = forms.CharField(label="Run code", max_length=20)
    beer = forms.ModelChoiceField(label="Beer", queryset=Material.objects.filter(kind=Material.Kind.BEER))

    def clean(self) -> dict[str, Any]:
        """Return what was typed, as the service wants it."""
        read = super().clean()
        read["started_at"] = read.pop("happened_at", None)
        return read


class RunDrawForm(DrawForm):
    """Crowns, bottles, kegs or labels that are drawn for a run; no sheet asks for them."""

    quantity = forms.CharField(label="How many", max_length=60, widget=forms.TextInput(attrs=KEYPAD))
    reason = forms.CharField(label="Remark", required=False, max_length=200)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        del self.fields["wanted"], self.fields["completes"]


class TankChoice(forms.ModelChoiceField):
    """A tank, offered by its code and name."""

    def __init__(self, **options: Any) -> None:
        super().__init__(queryset=Location.objects.tanks(), **options)

    def label_from_instance(self, obj: Location) -> str:
        return f"{obj.code} {obj.name}"


class FillForm(NotedForm):
    """One fill: how many, of what, out of which tanks."""

    names: ClassVar[Mapping[str, str]] = {
        "run": "",
        "lines": "",
        "lot": "",
        "quantity": "loss",
        "code": "packaged_code",
        "tanks": "tank_1",
        "vessel": "tank_1",
    }

    material = forms.ModelChoiceField(
        label="Filled into", queryset=Material.objects.filter(kind=Material.Kind.PACKAGED)
    )
    count = forms.IntegerField(label="Good ones", min_value=1, max_value=MOST, widget=forms.TextInput(attrs=DIGITS))
    rejects = forms.IntegerField(
        label="Rejects",
        min_value=0,
        max_value=MOST,
        required=False,
        widget=forms.TextInput(attrs=DIGITS),
        help_text="Filled and thrown out: their beer is lost.",
    )
    still_to_come = forms.IntegerField(
        label="Still to come in this run",
        min_value=0,
        max_value=MOST,
        required=False,
        widget=forms.TextInput(attrs=DIGITS),
        help_text="They keep their share of crowns, labels and kegs by count. Empty: this fill takes the rest.",
    )
    loss = forms.CharField(
        label="Beer lost besides",
        required=False,
        max_length=60,
        widget=forms.TextInput(attrs=KEYPAD),
        help_text="In litres. Leave it empty where gauges tell it.",
    )
    location = StoreField(label="Goes to")
    on_new_pallet = forms.BooleanField(label="On a new pallet there", required=False)
    line = forms.CharField(label="Line", required=False, max_length=LONGEST_LINE)
    packaged_code = forms.CharField(
        label="Lot code", required=False, max_length=20, help_text="Empty: the next by the rule."
    )
    best_before = forms.DateField(
        label="Best before",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="Empty: by the rule.",
    )
    override_reason = forms.CharField(
        label="Override, because", required=False, max_length=200, help_text="For a lot that is refused."
    )

    def __init__(self, *args: Any, may_override: bool = False, **options: Any) -> None:
        super().__init__(*args, **options)
        if not may_override:
            del self.fields["override_reason"]
        for place in range(1, TANKS + 1):
            self.fields[f"tank_{place}"] = TankChoice(
                label=f"Tank {place}" if place > 1 else "Tank", required=place == 1, empty_label="none"
            )
            for name, label in (("start", "Gauge at start"), ("end", "Gauge at end")):
                self.fields[f"{name}_{place}"] = forms.CharField(
                    label=f"{label}, L", required=False, max_length=60, widget=forms.TextInput(attrs=KEYPAD)
                )

    def clean(self) -> dict[str, Any]:
        """Return what was typed as the service wants it. Adds what is wrong beside its field."""
        read = super().clean()
        tanks = [self._tank(read, place) for place in range(1, TANKS + 1) if read.get(f"tank_{place}")]
        return {
            **read,
            "tanks": tanks,
            "loss_micro": self._micro("loss", read.get("loss")) or 0,
            "still_to_come": read.get("still_to_come") or 0,
            "counted": Counted(
                count=read.get("count") or 0,
                rejects=read.get("rejects") or 0,
                code=read.get("packaged_code", ""),
                best_before=read.get("best_before"),
                line=read.get("line", ""),
            ),
        }

    def _tank(self, read: dict[str, Any], place: int) -> TankDraw:
        gauges = [self._micro(f"{name}_{place}", read.get(f"{name}_{place}")) for name in ("start", "end")]
        return TankDraw(read[f"tank_{place}"], *gauges)

    def _micro(self, name: str, typed: str | None) -> int | None:
        try:
            return typed_micro(typed, "L") if typed else None
        except UnitError as wrong:
            self.add_error(name, str(wrong))
            return None


class FinishForm(NotedForm):
    """What is left of each lot: how much goes back, and where to; the rest is lost."""

    names: ClassVar[Mapping[str, str]] = {"run": "", "lot": "", "lines": "", "quantity": ""}

    location = StoreField(label="What is left goes to", required=False)
    loss_reason = forms.CharField(
        label="Why the rest is lost", required=False, max_length=200, help_text="Where less goes back than lies here."
    )

    def __init__(self, *args: Any, run: PackagingRun, **options: Any) -> None:
        super().__init__(*args, **options)
        self.lots = self._lots(run)
        held = {one.lot_id: one.quantity_micro for one in run.location.balances.all()}
        for lot in self.lots:
            unit = lot.material.base_unit
            self.fields[f"{BACK}{lot.pk}"] = forms.CharField(
                label=f"{lot.material.name}, lot {lot.code}: goes back",
                max_length=60,
                widget=forms.TextInput(attrs=KEYPAD),
                initial=format_micro(held.get(lot.pk, 0), unit),
                help_text=f"In {unit}. 0 where none goes back.",
            )

    def _lots(self, run: PackagingRun) -> list[Lot]:
        """What lies in the run; a form that is sent again names what lay there when it was first sent."""
        if not self.is_bound:
            return [one.lot for one in run.location.balances.all()]
        named = [name.removeprefix(BACK) for name in self.data if name.startswith(BACK)]
        keys = [int(key) for key in named if key.isdecimal() and len(key) < LONGEST_KEY]
        ever = Lot.objects.filter(pk__in=keys, postings__to_location=run.location)
        return list(ever.select_related("material").distinct().order_by("pk"))

    def clean(self) -> dict[str, Any]:
        """Return the moment, the reason, and the parts that go back."""
        read = super().clean()
        read["returns"] = [part for part in (self._back(read, lot) for lot in self.lots) if part]
        if read["returns"] and not read.get("location") and "location" not in self.errors:
            self.add_error("location", "Say to which store.")
        return read

    def _back(self, read: dict[str, Any], lot: Lot) -> Part | None:
        name = f"{BACK}{lot.pk}"
        typed = read.pop(name, "")
        try:
            back = typed_micro(typed, lot.material.base_unit) if typed else 0
        except UnitError as wrong:
            self.add_error(name, str(wrong))
            return None
        place = read.get("location")
        return Part(lot, place, back) if back and place else None


class FillUndoForm(WritingForm):
    """Why the last fill is undone."""

    names: ClassVar[Mapping[str, str]] = {"run": "", "event": ""}

    reason = forms.CharField(label="Why", max_length=200)
