"""Corrections in the cellar: a gauge of what is there, what is dumped, and what is undone."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.errors import NotFound
from brewery.kernel.templatetags.shell import quantity
from brewery.production.pages.brew_day.forms import KEYPAD
from brewery.production.pages.cellar.cautions import CONFINED, DUTY, GAS
from brewery.production.pages.cellar.work import Held, WorkForm, WorkPage
from brewery.production.pages.telling import UndoForm
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Lot
from inventory.queries.registers import event_of
from inventory.services.counts import count_stock
from inventory.services.disposals import destroy
from inventory.services.refusals import VesselEmpty
from inventory.services.reversals import reverse_event


class AmountForm(WorkForm):
    """How much of what lies in the vessel, and why."""

    quantity = forms.CharField(max_length=60, widget=forms.TextInput(attrs=KEYPAD))
    reason = forms.CharField(label="Why", required=False, max_length=200)
    lot_seen = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields.pop("override_reason", None)
        if self.held.lot:
            self.initial.setdefault("lot_seen", self.held.lot.code)

    def clean(self) -> dict[str, Any]:
        """Return what was typed with the `lot` the form was about, and `quantity_micro`."""
        read = super().clean()
        seen = Lot.objects.select_related("material").filter(code=read.get("lot_seen", ""), reversed_by=None).first()
        read["lot"] = seen or self.held.lot
        unit = read["lot"].material.base_unit if read["lot"] else "L"
        try:
            read["quantity_micro"] = typed_micro(read["quantity"], unit) if read.get("quantity") else 0
        except UnitError as wrong:
            self.add_error("quantity", str(wrong))
        return read


class GaugeForm(AmountForm):
    """What was gauged."""

    names: ClassVar[Mapping[str, str]] = {"counted": "quantity", "lot": "", "location": ""}

    field_order = ("quantity", "reason")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["quantity"].label = "Found by the gauge"
        self.fields["reason"].help_text = "Needed where it differs from the book."


class GaugePage(WorkPage):
    """Puts the book right by a gauge."""

    right = write_right = Right.COUNT_STOCK
    form_class = GaugeForm
    title, submit, done = "Gauge", "Write the gauge down", "gauged"

    def proposals(self, held: Held) -> dict[str, Any]:
        """Nothing is proposed: what was found is read off the tank."""
        return {}

    def told(self, form: Any) -> list[str]:
        """Tell the difference to the book."""
        found, lot = form.cleaned_data["quantity_micro"], form.held.lot
        difference = found - form.held.quantity_micro
        if not difference or lot is None or not form.held.quantity_micro:
            return []
        unit = lot.material.base_unit
        share = 100 * difference / form.held.quantity_micro
        return [
            f"The book says {quantity(form.held.quantity_micro, unit)}; the gauge says {quantity(found, unit)}: "
            f"{quantity(difference, unit)} ({share:+.1f} %) go to count differences."
        ]

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Record the gauge."""
        asked = form.cleaned_data
        count_stock(
            lot=_lot_of(held, asked),
            location=held.vessel,
            counted_micro=asked["quantity_micro"],
            reason=asked["reason"],
            **facts,
        )


class DumpForm(AmountForm):
    """How much is dumped, and why."""

    names: ClassVar[Mapping[str, str]] = {"quantity_micro": "quantity", "lot": "", "location": ""}

    field_order = ("quantity", "reason")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["quantity"].label = "How much is dumped"
        self.fields["reason"].required = True


class DumpPage(WorkPage):
    """Destroys what lies in the vessel, or a part of it."""

    right = write_right = Right.DESTROY
    form_class = DumpForm
    title, submit, done = "Dump", "Dump it", "dumped"
    cautions = (DUTY, GAS, CONFINED)

    def proposals(self, held: Held) -> dict[str, Any]:
        """Nothing is proposed."""
        return {}

    def told(self, form: Any) -> list[str]:
        """Tell that it is gone for good."""
        lot = form.cleaned_data["lot"]
        if lot is None:
            return []
        amount = quantity(form.cleaned_data["quantity_micro"], lot.material.base_unit)
        return [f"{amount} of lot {lot.code} are destroyed: {form.cleaned_data['reason']}."]

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Destroy it."""
        asked = form.cleaned_data
        destroy(
            lot=_lot_of(held, asked),
            location=held.vessel,
            quantity_micro=asked["quantity_micro"],
            reason=asked["reason"],
            **facts,
        )


class TankUndoForm(UndoForm, WorkForm):
    """Which event of the tank is undone, and why."""


class UndoPage(WorkPage):
    """Undoes one event of the tank, while what it made is unused."""

    right = write_right = Right.REVERSE
    form_class = TankUndoForm
    title, submit, done = "Undo", "Undo it", "undone"
    needs_contents = False

    def proposals(self, held: Held) -> dict[str, Any]:
        """Return the event that the address names."""
        return {"event": self.request.GET.get("event", "")}

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Reverse it, where it is one of this vessel."""
        event = event_of(form.cleaned_data["event"])
        moved = event.postings.all() if event else ()
        if event is None or held.vessel.pk not in {key for row in moved for key in _places(row)}:
            raise NotFound(thing=f"event in {held.vessel.name}", code=form.cleaned_data["event"])
        reverse_event(event=event, **facts)


def _places(row: Any) -> tuple[int, int]:
    return row.from_location_id, row.to_location_id


def _lot_of(held: Held, asked: dict[str, Any]) -> Lot:
    """Return the lot that the form was about. Raises VesselEmpty where there is none."""
    if asked["lot"] is None:
        raise VesselEmpty(location=held.vessel, field="vessel")
    return asked["lot"]
