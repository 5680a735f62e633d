"""Shipping a pallet: all that lies on it goes to one customer."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormPage
from brewery.production.services.dispatch import ship_pallet
from inventory.models import LogisticUnit
from inventory.pages.choices import CustomerField, offers
from inventory.queries.pallets import pallet_of, with_contents


class PalletShipmentForm(HappenedForm):
    """Who gets it, under which delivery note."""

    names: ClassVar[Mapping[str, str]] = {"lines": "", "lot": ""}

    customer = CustomerField(label="Customer")
    note_number = forms.CharField(label="Delivery note number", max_length=60)


class PalletShipmentPage(FormPage):
    """The form that ships all that lies on a pallet."""

    right: ClassVar[Right] = Right.DISPATCH
    write_right: ClassVar[Right] = Right.DISPATCH
    template_name = "production/pallet_shipment.html"
    form_class = PalletShipmentForm

    @property
    def unit(self) -> LogisticUnit:
        """The pallet that the address names. Raises Http404."""
        found = pallet_of(self.kwargs["sscc"])
        if found is None:
            raise Http404(f"There is no pallet {self.kwargs['sscc']}.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        (pallet,) = with_contents([self.unit])
        return super().get_context_data(
            unit=pallet.unit, contents=pallet.contents, offers=offers("customers"), **kwargs
        )

    def write(self, form: Any) -> str:
        """Ship it."""
        ship_pallet(unit=self.unit, actor=self.person, **form.cleaned_data)
        messages.success(self.request, f"It is shipped to {form.cleaned_data['customer'].name}.")
        return reverse("pallet", args=[self.kwargs["sscc"]])
