"""The forms of the filling hall. Each says when it was noted, so that what waits for a connection keeps its moment."""

from collections.abc import Mapping, Sequence
from typing import Any, ClassVar

from django import forms

from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import WritingForm
from brewery.kernel.templatetags.shell import quantity
from brewery.production.models import PackagingRun
from brewery.production.pages.brew_day.forms import KEYPAD, DrawForm, NotedForm
from brewery.production.queries.formats import Format
from brewery.production.services.filled_tanks import TankDraw
from brewery.production.services.packaging import LONGEST_LINE, Counted
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError, format_micro
from inventory.models import Balance, Location, Lot, Material
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
    """A tank; those that hold something are offered, and the one that was chosen before."""

    def __init__(self, rows: Sequence[Balance], **options: Any) -> None:
        super().__init__(queryset=Location.objects.tanks(), **options)
        self.offered = {row.location_id: f"{row.location.code}: {_held(row)}" for row in rows}
        self.choices = [("", "none"), *self.offered.items()]

    def keep(self, typed: str) -> None:
        """Offer what was chosen even where nothing lies in it any more."""
        chosen = Location.objects.tanks().filter(pk=typed).first() if _is_key(typed) else None
        if chosen and chosen.pk not in self.offered:
            self.choices = [("", "none"), *self.offered.items(), (chosen.pk, f"{chosen.code}: empty")]


class FormatChoice(forms.ModelChoiceField):
    """A format; only those offered are shown."""

    def __init__(self, formats: Sequence[Format], **options: Any) -> None:
        super().__init__(queryset=Material.objects.filter(kind=Material.Kind.PACKAGED), **options)
        self.choices = [(one.material.pk, one) for one in formats]


class FillForm(NotedForm):
    """One fill: how many, of what, out of which tanks. `formats` are offered, `tanks` are what lies in tanks now."""

    names: ClassVar[Mapping[str, str]] = {
        "run": "",
        "lines": "",
        "lot": "",
        "quantity": "loss",
        "code": "packaged_code",
        "tanks": "tank_1",
        "vessel": "tank_1",
    }

    count = forms.IntegerField(label="Good ones", min_value=1, max_value=MOST, widget=forms.TextInput(attrs=DIGITS))
    rejects = forms.IntegerField(
        label="Rejects",
        min_value=0,
        max_value=MOST,
        required=False,
        widget=forms.TextInput(attrs=DIGITS),
        help_text="Filled and thrown out.",
    )
    still_to_come = forms.IntegerField(
        label="Still to come in this run",
        min_value=0,
        max_value=MOST,
        required=False,
        widget=forms.TextInput(attrs=DIGITS),
        help_text="Empty: this is the last fill, and takes all that lies in the run.",
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
    gauge_reason = forms.CharField(
        label="Why a gauge says more than the book",
        required=False,
        max_length=200,
        help_text="The book is put right by the gauge, as a count.",
    )
    line = forms.CharField(label="Line", required=False, max_length=LONGEST_LINE)
    packaged_code = forms.CharField(
        label="Lot code", required=False, max_length=20, help_text="Empty: the next by the rule."
    )
    best_before = forms.DateField(
        label="Best before",
        required=False,
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        help_text="Empty: by the rule.",
    )
    override_reason = forms.CharField(
        label="Override, because", required=False, max_length=200, help_text="For a lot that is refused."
    )

    def __init__(
        self,
        *args: Any,
        formats: Sequence[Format],
        tanks: Sequence[Balance],
        may_override: bool = False,
        **options: Any,
    ) -> None:
        super().__init__(*args, **options)
        if not may_override:
            del self.fields["override_reason"]
        self.fields["material"] = FormatChoice(formats, label="Filled into", widget=forms.RadioSelect)
        for place in range(1, TANKS + 1):
            tank = TankChoice(tanks, label=f"Tank {place}" if place > 1 else "Tank", required=place == 1)
            tank.keep(self.data.get(f"tank_{place}", ""))
            self.fields[f"tank_{place}"] = tank
            for name, label in (("start", "Gauge at start"), ("end", "Gauge at end")):
                self.fields[f"{name}_{place}"] = forms.CharField(
                    label=f"{label}, L", required=False, max_length=60, widget=forms.TextInput(attrs=KEYPAD)
                )

    @property
    def tank_rows(self) -> list[list[forms.BoundField]]:
        """The fields of each tank."""
        return [[self[f"{name}_{place}"] for name in ("tank", "start", "end")] for place in range(1, TANKS + 1)]

    @property
    def seldom(self) -> list[forms.BoundField]:
        """The fields that are seldom changed."""
        names = ("packaged_code", "best_before", "line", "loss", "gauge_reason", "override_reason", "happened_at")
        return [self[name] for name in names if name in self.fields]

    @property
    def is_unusual(self) -> bool:
        """Whether one of those holds something, or is refused, so that it has to be seen."""
        more = [one for row in self.tank_rows[1:] for one in row]
        return self.is_bound and any(one.errors or one.value() for one in [*self.seldom, *more])

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
                label=f"{lot.material.name}, lot {lot.code}",
                max_length=60,
                widget=forms.TextInput(attrs=KEYPAD),
                initial=format_micro(held.get(lot.pk, 0), unit),
                help_text=f"In {unit}. 0 where none goes back.",
            )

    @property
    def back_fields(self) -> list[forms.BoundField]:
        """The fields of what goes back."""
        return [self[f"{BACK}{lot.pk}"] for lot in self.lots]

    def _lots(self, run: PackagingRun) -> list[Lot]:
        """What lies in the run; a form that is sent again names what lay there when it was first sent."""
        if not self.is_bound:
            return [one.lot for one in run.location.balances.all()]
        named = [name.removeprefix(BACK) for name in self.data if name.startswith(BACK)]
        keys = [int(key) for key in named if _is_key(key)]
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


def _held(row: Balance) -> str:
    return f"{quantity(row.quantity_micro, 'L')} {row.lot.material.name}, lot {row.lot.code}"


def _is_key(text: str) -> bool:
    return text.isdecimal() and len(text) < LONGEST_KEY
