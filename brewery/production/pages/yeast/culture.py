"""One yeast lot: how it stands, its lineage, what it touched, and the form that discards it."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import now
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.production.pages.yeast.drawn import drawn_lineage
from brewery.production.pages.yeast.named import yeast_at
from brewery.production.queries.lineage import lineage_of, touched_by
from brewery.production.queries.tank_events import last_events_with
from brewery.production.queries.yeast_counts import measurements_of
from brewery.production.queries.yeast_states import states_of
from brewery.production.services.discards import discard_yeast
from brewery.science.generations import FIRST
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError, format_micro
from inventory.models import Balance, Location, Lot


class DiscardForm(HappenedForm):
    """How much of the yeast is poured away, from where, and why."""

    names = {"quantity_micro": "quantity"}

    quantity = forms.CharField(
        label="How much", max_length=60, widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
    )
    reason = forms.CharField(label="Why", max_length=200)

    def __init__(self, lot: Lot, *data: Any) -> None:
        super().__init__(*data)
        self.lot = lot
        # Where it once lay counts too, so that a form that is sent again finds its place.
        held = Balance.objects.filter(lot=lot, location__kind__in=Location.STOCK).select_related("location")
        rows = list(held.order_by("-quantity_micro", "location__code"))
        self.fields["location"] = forms.ModelChoiceField(
            Location.objects.filter(pk__in=[row.location_id for row in rows]),
            label="From",
            empty_label=None,
            to_field_name="code",
        )
        self.order_fields(("request_id", "location", "quantity", "reason", "happened_at"))
        unit = lot.material.base_unit
        if rows:
            self.initial["location"] = rows[0].location.code
            self.initial["quantity"] = f"{format_micro(rows[0].quantity_micro, unit)} {unit}"

    def clean_quantity(self) -> int:
        """Return what was typed in micro-units. Raises ValidationError."""
        try:
            return typed_micro(self.cleaned_data["quantity"], self.lot.material.base_unit)
        except UnitError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong


class CulturePage(FormPage):
    """A yeast lot with its lineage and all that it touched."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.CELLAR
    template_name = "production/yeast/culture.html"

    @property
    def lot(self) -> Lot:
        """The yeast that the address names."""
        return yeast_at(self.kwargs["lot"])

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form that discards it; a new one proposes all that lies in one place."""
        return DiscardForm(self.lot, *data)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lot = self.lot
        held = list(
            Balance.objects.filter(lot=lot, location__kind__in=Location.STOCK, quantity_micro__gt=0).select_related(
                "location"
            )
        )
        states = states_of([(lot, row.location) for row in held], now())
        context = {
            **kwargs,
            "lot": lot,
            "held": [
                {"state": state, "quantity_micro": row.quantity_micro} for state, row in zip(states, held, strict=True)
            ],
            "lineage": drawn_lineage(lineage_of([lot]), f"Lineage of {lot.code}", lot.pk),
            "touched": touched_by(lot),
            "events": last_events_with(lot),
            "undo_url": reverse("culture-undo", args=[lot.pk]) if self.person.has_right(Right.REVERSE) else None,
            "measurements": measurements_of(lot),
            "may_count": self.person.has_right(Right.COUNT_YEAST),
            "may_propagate": bool(held) and (lot.generation or FIRST) <= FIRST and self.may_write,
        }
        return super().get_context_data(**context, may_write=self.may_write)

    def write(self, form: Any) -> str:
        """Discard it."""
        asked = form.cleaned_data
        discard_yeast(
            lot=form.lot,
            location=asked["location"],
            quantity_micro=asked["quantity"],
            reason=asked["reason"],
            happened_at=asked["happened_at"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        messages.success(self.request, f"It is discarded from {asked['location'].name}.")
        return reverse("culture", args=[form.lot.pk])
