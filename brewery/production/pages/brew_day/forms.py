"""The forms of the brew day. Each says when it was noted, so that what waits for a connection keeps its moment."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, ClassVar

from django import forms
from django.utils.dateparse import parse_datetime

from brewery.kernel.models import Request
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import WritingForm
from brewery.production.models import Brew, LogEntry
from brewery.production.services.brew_log import LogLine
from brewery.science.brew_readings import READINGS
from brewery.science.properties import NotAReading, plain, read
from brewery.science.typed import typed_micro, with_point
from brewery.science.units import UnitError
from inventory.models import Balance, Location, Lot
from inventory.pages.choices import MaterialField, StockPlaceField
from inventory.pages.scanned import LotField

KEYPAD = {"inputmode": "decimal", "autocomplete": "off", "enterkeyhint": "done"}


class NotedForm(HappenedForm):
    """A form whose moment is the typed one, or when the page noted it, or now; a second sending keeps the first's."""

    noted_at = forms.CharField(required=False, max_length=40, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        """Return what was typed; the moment is never later than now, however the tablet's clock is set."""
        read = super().clean()
        noted = _moment(read.pop("noted_at", ""))
        is_left_out = not self.data.get("happened_at") and "happened_at" in read and "request_id" in read
        if noted and is_left_out and self._first_asked(read["request_id"]) is None:
            read["happened_at"] = min(noted, read["happened_at"])
        return read


class DrawForm(NotedForm):
    """A quantity of a lot that is drawn; `wanted` is the material of the sheet's line, where it is for one."""

    names: ClassVar[Mapping[str, str]] = {"lines": "lot", "into": "lot", "stands_in": "reason"}

    lot = LotField(label="Lot")
    location = StockPlaceField(label="From", required=False)
    quantity = forms.CharField(label="Weight or volume", max_length=60, widget=forms.TextInput(attrs=KEYPAD))
    wanted = MaterialField(label="Drawn as", required=False, help_text="What the sheet asks for.")
    reason = forms.CharField(
        label="Why", required=False, max_length=200, help_text="For a substitute, or for more or less than is wanted."
    )
    completes = forms.BooleanField(label="That is all of it", required=False)
    override_reason = forms.CharField(
        label="Override, because", required=False, max_length=200, help_text="For a lot that is refused."
    )

    def __init__(self, *args: Any, may_override: bool = False, **options: Any) -> None:
        super().__init__(*args, **options)
        if not may_override:
            del self.fields["override_reason"]

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `quantity_micro` and a place. Adds what is wrong beside its field."""
        read = super().clean()
        lot = read.get("lot")
        if lot and read.get("quantity"):
            _read_quantity(self, read, lot)
        if lot and not read.get("location") and "location" not in self.errors:
            read["location"] = _place_of_the_first(read.get("request_id")) or _only_place(self, lot)
        return read


class ReturnForm(NotedForm):
    """What of a lot comes back out of the brew, and where to."""

    names: ClassVar[Mapping[str, str]] = {"lines": "quantity", "out_of": "lot"}

    lot = LotField(label="Lot")
    location = StockPlaceField(label="To")
    quantity = forms.CharField(label="Weight or volume", max_length=60, widget=forms.TextInput(attrs=KEYPAD))
    reason = forms.CharField(label="Why", required=False, max_length=200)
    unclean_reason = forms.CharField(
        label="Why it is filled uncleaned",
        required=False,
        max_length=2000,
        help_text="Only for a brink that was not cleaned since its last use: what lay there is then in the trace.",
    )
    contents_code = forms.CharField(
        label="Code of its new contents", required=False, max_length=20, help_text="Only for an uncleaned brink."
    )

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `quantity_micro`."""
        read = super().clean()
        if read.get("lot") and read.get("quantity"):
            _read_quantity(self, read, read["lot"])
        return read


class UndoForm(WritingForm):
    """Which draw is undone."""

    names: ClassVar[Mapping[str, str]] = {"event": ""}

    event = forms.IntegerField(min_value=1, max_value=2**63 - 1, widget=forms.HiddenInput)


class LogForm(NotedForm):
    """A reading, or words."""

    names: ClassVar[Mapping[str, str]] = {"entry": ""}

    step = forms.ChoiceField(label="Step", choices=LogEntry.Step.choices)
    property = forms.ChoiceField(
        label="Reading", required=False, choices=[("", "none, only words"), *LogEntry.Property.choices]
    )
    value = forms.CharField(label="Figure", required=False, max_length=30, widget=forms.TextInput(attrs=KEYPAD))
    is_hot = forms.BooleanField(label="Volume read hot", required=False)
    vessel = forms.CharField(label="Vessel", required=False, max_length=40)
    words = forms.CharField(label="Words", required=False, max_length=200)

    def clean(self) -> dict[str, Any]:
        """Return the moment and one `line`. Adds what is wrong beside its field."""
        read_ = super().clean()
        if self.errors:
            return read_
        value_micro = None
        if read_["value"] and not read_["property"]:
            self.add_error("property", "Say what was read.")
        elif read_["value"]:
            try:
                value_micro = read(READINGS[read_["property"]], with_point(read_["value"])).value_micro
            except (NotAReading, UnitError) as wrong:
                self.add_error("value", str(wrong))
        said = {name: read_[name] for name in ("step", "property", "is_hot", "vessel", "words")}
        return {**read_, "line": LogLine(value_micro=value_micro, **said)}


class CorrectionForm(LogForm):
    """What takes the place of a line, and why."""

    reason = forms.CharField(label="Why it is corrected", max_length=200)


def correction_of(entry: LogEntry) -> CorrectionForm:
    """Return the form that corrects a line, filled with what it says."""
    said = {name: getattr(entry, name) for name in ("step", "property", "is_hot", "vessel", "words", "happened_at")}
    value = "" if entry.value_micro is None else plain(entry.value_micro)
    return CorrectionForm(initial={**said, "value": value}, auto_id=f"line-{entry.pk}-%s")


def log_form(brew: Brew, last_step: str) -> LogForm:
    """Return the empty form of the log, at the step that was written last."""
    return LogForm(initial={"step": last_step}, auto_id="log-%s")


def _read_quantity(form: forms.Form, read: dict[str, Any], lot: Lot) -> None:
    try:
        read["quantity_micro"] = typed_micro(read["quantity"], lot.material.base_unit)
    except UnitError as wrong:
        form.add_error("quantity", str(wrong))


def _place_of_the_first(request_id: Any) -> Location | None:
    """Return from where the same request drew before: the lot may be gone since, and the answer is the same."""
    earlier = Request.objects.filter(pk=request_id, action="draw_for").first()
    if earlier is None:
        return None
    key = str(earlier.content["parts"][0]["location"]).rpartition(":")[2]
    return Location.objects.filter(pk=key).first()


def _only_place(form: forms.Form, lot: Lot) -> Location | None:
    """Return the one place of the stock in which the lot lies; where there are several, the brewer says which."""
    rows = Balance.objects.held().filter(lot=lot, location__kind__in=Location.STOCK).select_related("location")
    places = [row.location for row in rows.order_by("location__code")]
    if len(places) == 1:
        return places[0]
    told = " and ".join(place.code for place in places)
    form.add_error("location", f"It lies in {told}: say from which." if places else "It lies in no store: look it up.")
    return None


def _moment(text: str) -> datetime | None:
    try:
        moment = parse_datetime(text or "")
    except ValueError:
        return None
    return moment if moment and moment.tzinfo else None
