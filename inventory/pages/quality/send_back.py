"""Sending a rejected lot back to its supplier."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError, format_micro
from inventory.models import Balance, Location, Lot
from inventory.services.send_backs import send_back


class SendBackForm(WritingForm):
    """How much of the lot goes back, from where, why, and under which note."""

    quantity = forms.CharField(label="Quantity", max_length=60)
    reference = forms.CharField(label="Number of the return note", required=False, max_length=60)
    reason = forms.CharField(label="Why it goes back", max_length=2000)

    field_order = ("location", "quantity", "reference", "reason")

    def __init__(self, lot: Lot, *data: Any) -> None:
        super().__init__(*data)
        self.lot = lot
        # Where it once lay counts too, so that a form that is sent again finds its place.
        places = Balance.objects.filter(lot=lot, location__kind__in=Location.STOCK)
        self.fields["location"] = forms.ModelChoiceField(
            Location.objects.filter(pk__in=places.values("location")),
            label="From",
            empty_label=None,
            to_field_name="code",
        )
        self.order_fields(self.field_order)
        first = places.filter(quantity_micro__gt=0).select_related("location").first()
        if first:
            unit = lot.material.base_unit
            self.initial["location"] = first.location.code
            self.initial["quantity"] = f"{format_micro(first.quantity_micro, unit)} {unit}"

    def clean_quantity(self) -> int:
        """Return what was typed in micro-units. Raises ValidationError."""
        try:
            return typed_micro(self.cleaned_data["quantity"], self.lot.material.base_unit)
        except UnitError as wrong:
            raise forms.ValidationError(str(wrong)) from wrong


class SendBackPage(FormPage):
    """The form that sends a rejected lot back."""

    right: ClassVar[Right] = Right.SEND_BACK
    write_right: ClassVar[Right] = Right.SEND_BACK
    template_name = "inventory/quality/send_back.html"

    @property
    def lot(self) -> Lot:
        """The lot that the address names. Raises Http404."""
        found = Lot.objects.select_related("material", "supplier").filter(pk=self.kwargs["lot"]).first()
        if found is None:
            raise Http404(f"There is no lot {self.kwargs['lot']}.")
        return found

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; a new one proposes all that lies in one place."""
        return SendBackForm(self.lot, *data)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**{**kwargs, "lot": self.lot})

    def write(self, form: Any) -> str:
        """Send it back."""
        asked = form.cleaned_data
        send_back(
            lot=form.lot,
            location=asked["location"],
            quantity_micro=asked["quantity"],
            reason=asked["reason"],
            reference=asked["reference"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        messages.success(self.request, f"Lot {form.lot.code} went back to {form.lot.supplier}.")
        return reverse("lot", args=[form.lot.pk])
