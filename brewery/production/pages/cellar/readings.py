"""Readings of a tank: several properties taken down at once, what was read, and its correction."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, ClassVar

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.models import Request
from brewery.kernel.pages.writing import WritingPage, go_on
from brewery.production.models import TankReading
from brewery.production.pages.brew_day.forms import KEYPAD, NotedForm
from brewery.production.pages.brew_day.page import refused_part
from brewery.production.pages.cellar.cautions import CONFINED, GAS
from brewery.production.pages.cellar.fermentation import drawn
from brewery.production.pages.cellar.work import Held, WorkForm, WorkPage, held_in_vessel
from brewery.production.queries.fermentations import fermentation_of
from brewery.production.queries.tank_limits import shown_readings
from brewery.production.queries.tank_readings import tank_readings
from brewery.production.services.reading_refusals import NothingInItThen
from brewery.production.services.tank_readings import Measured, correct_reading, read_tanks
from brewery.science.properties import NotAReading, Property, plain, read
from brewery.science.tank_readings import READINGS
from brewery.science.typed import with_point
from brewery.science.units import UnitError
from inventory.models import Location
from inventory.services.refusals import InTheFuture

SHOWN = 100
OF_THE_MOMENT = (NothingInItThen, InTheFuture)


class ReadingField(forms.CharField):
    """What was read of one property, in its unit; what comes out is millionths, or None where nothing was typed."""

    def __init__(self, measured: Property, **options: Any) -> None:
        unit = f", {measured.unit}" if measured.unit else ""
        super().__init__(
            label=f"{measured.label}{unit}", max_length=30, widget=forms.TextInput(attrs=KEYPAD), **options
        )
        self.measured = measured

    def clean(self, value: Any) -> int | None:
        """Return millionths. Raises ValidationError."""
        text = super().clean(value)
        if not text:
            return None
        try:
            found = read(self.measured, with_point(text))
        except (NotAReading, UnitError) as wrong:
            raise forms.ValidationError(str(wrong)) from wrong
        if found.value_micro is None or found.bound:
            raise forms.ValidationError("Write the figure itself, without < or >.")
        return found.value_micro


class ReadingsForm(NotedForm):
    """What was read of a tank at one moment: any of the properties, and a remark."""

    remark = forms.CharField(label="Remark", required=False, max_length=200)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for key, measured in READINGS.items():
            self.fields[key] = ReadingField(measured, required=False)
        self.order_fields([*READINGS, "happened_at", "remark"])

    def clean(self) -> dict[str, Any]:
        """Return what was typed with the properties that were `measured`, in their order."""
        typed = super().clean()
        typed["measured"] = [key for key in READINGS if typed.get(key) is not None]
        if not typed["measured"] and not any(key in self.errors for key in READINGS):
            self.add_error(None, "Write at least one figure.")
        return typed

    def readings_of(self, vessel: Location) -> list[Measured]:
        """Return each reading as the service takes it."""
        asked = self.cleaned_data
        at, remark = asked["happened_at"], asked["remark"]
        return [Measured(vessel, key, asked[key], at, remark) for key in asked["measured"]]

    def refuse(self, error: DomainError) -> None:
        """Each refusal stands beside the property it is about; one of the moment stands there, once."""
        said = set()
        for fault in error.all_faults():
            name = self._name_of(fault)
            if (name, str(fault)) not in said:
                self.add_error(name, str(fault))
            said.add((name, str(fault)))

    def _name_of(self, fault: DomainError) -> str | None:
        """Return the field of the form; one reading that is refused alone is the only one that was typed."""
        if isinstance(fault, OF_THE_MOMENT):
            return "happened_at"
        place = (fault.field or "").removeprefix("readings.")
        measured: list[str] = self.cleaned_data["measured"]
        if place.isdecimal():
            return measured[int(place)]
        return measured[0] if fault.field in ("value", "property", "happened_at") else None

    def _first_asked(self, request_id: Any) -> datetime | None:
        earlier = Request.objects.filter(pk=request_id, action="read_tanks").first()
        return datetime.fromisoformat(earlier.content["readings"][0]["happened_at"]) if earlier else None


class ReadingsPage(WritingPage):
    """What was read of a tank, drawn and in rows; and the form that takes readings down."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.CELLAR
    template_name = "production/cellar/readings.html"

    @property
    def held(self) -> Held:
        """The tank that the address names, and what it holds. Raises Http404 for what is no tank."""
        held = held_in_vessel(self.kwargs["code"])
        if held.vessel.kind not in Location.TANKS:
            raise Http404(f"{held.vessel} is no tank.")
        return held

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        held = self.held
        told = fermentation_of(held.vessel)
        rows = tank_readings().filter(vessel=held.vessel).order_by("-happened_at", "-pk")
        context = {
            "held": held,
            "told": told,
            "drawing": drawn(told) if told else None,
            "form": ReadingsForm() if self.may_write else None,
            "rows": shown_readings(list(rows[:SHOWN])),
            "shown": SHOWN,
            "properties": " ".join(READINGS),
            "correct_url": reverse("cellar-reading-correction", args=[held.vessel.code]) if self.may_write else None,
            "cautions": (GAS, CONFINED),
            **kwargs,
        }
        return super().get_context_data(**context)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Take the readings down, and show the page again; or say what is wrong."""
        vessel, form = self.held.vessel, ReadingsForm(request.POST, auto_id="again-%s")
        if form.is_valid():
            try:
                request_id = form.cleaned_data["request_id"]
                read_tanks(readings=form.readings_of(vessel), actor=self.person, request_id=request_id)
                return go_on(request.path)
            except DomainError as refused:
                form.refuse(refused)
        again = refused_part("Write it again, put right", form, request.path)
        return self.render_to_response(self.get_context_data(refused=again, **kwargs), status=400)


class CorrectionForm(WorkForm):
    """What takes the place of a reading, and why."""

    names: ClassVar[Mapping[str, str]] = {"reading": "", "property": "value"}

    reading = forms.IntegerField(min_value=1, max_value=2**63 - 1, widget=forms.HiddenInput)
    reason = forms.CharField(label="Why it is corrected", max_length=200)
    remark = forms.CharField(label="Remark", required=False, max_length=200)

    def __init__(self, *args: Any, wrong: TankReading, **options: Any) -> None:
        super().__init__(*args, **options)
        self.wrong = wrong
        self.fields.pop("override_reason", None)
        self.fields["value"] = ReadingField(READINGS[wrong.property])
        self.fields["happened_at"].required = True
        self.fields["happened_at"].help_text = ""
        self.order_fields(["value", "happened_at", "remark", "reason"])

    def clean(self) -> dict[str, Any]:
        """Return what was typed; a moment that was left as it is shown keeps its seconds."""
        typed = super().clean()
        if typed.get("happened_at") == self.wrong.happened_at.replace(second=0, microsecond=0):
            typed["happened_at"] = self.wrong.happened_at
        return typed


class CorrectionPage(WorkPage):
    """Puts a reading in the place of another, which stays on record."""

    right = write_right = Right.CELLAR
    form_class = CorrectionForm
    title, submit, done = "Correct a reading", "Correct it", "reading corrected"
    cautions = (GAS,)
    needs_contents = False

    @property
    def wrong(self) -> TankReading:
        """The reading that is put right. Raises Http404 where it is none of this tank."""
        asked = self.request.POST.get("reading") or self.request.GET.get("reading", "")
        is_number = asked.isascii() and asked.isdecimal() and len(asked) < len(str(2**63))
        rows = tank_readings().filter(vessel__code=self.kwargs["code"]) if "\x00" not in self.kwargs["code"] else None
        found = rows.filter(pk=asked).first() if rows is not None and is_number else None
        if found is None:
            raise Http404("There is no such reading of this tank.")
        return found

    def new_form(self, *data: Any) -> CorrectionForm:
        """Return the form, with what the reading says or with what was sent."""
        wrong = self.wrong
        initial = {"reading": wrong.pk, "happened_at": wrong.happened_at, "remark": wrong.remark}
        initial["value"] = plain(wrong.value_micro)
        return CorrectionForm(*data[:1], initial=initial, held=self.held, person=self.person, wrong=wrong)

    def write(self, form: Any) -> str:
        """Correct it, say so, and go back to the readings."""
        super().write(form)
        return reverse("cellar-readings", args=[self.kwargs["code"]])

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Correct it."""
        asked = form.cleaned_data
        correct_reading(
            reading=self.wrong, value_micro=asked["value"], reason=asked["reason"], remark=asked["remark"], **facts
        )
