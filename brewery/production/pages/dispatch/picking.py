"""The picking page: what to take first, one touch each, or by scanning what stands in front of one."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.shortcuts import get_object_or_404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import WritingForm
from brewery.production.models import CustomerOrder, Pick
from brewery.production.pages.dispatch.orders import CountField, NamesAnOrder
from brewery.production.pages.dispatch.steps import Step
from brewery.production.queries.customer_orders import open_picks
from brewery.production.queries.picking import delivery_day, proposals_for
from brewery.production.services.picking import pick, put_back
from brewery.production.services.picking_scans import scanned_for
from inventory.pages.choices import offers
from inventory.pages.scanned import SCANNER, LiftingField
from inventory.services.scans import LONGEST_SCAN


class PickForm(WritingForm):
    """What was scanned or touched, how many of it, and why it is unusual."""

    names: ClassVar[Mapping[str, str]] = {"lot": "text", "order": ""}

    text = forms.CharField(
        label="Scan a pallet or a lot, or type its code",
        max_length=LONGEST_SCAN,
        widget=forms.TextInput(attrs={**SCANNER, "autofocus": True, "enterkeyhint": "go"}),
    )
    count = CountField(
        label="How many", required=False, help_text="Left empty: all of the pallet, or as many as are proposed."
    )
    location = LiftingField(label="From", required=False, help_text="Left empty: the pallet, or the place proposed.")
    more_because = forms.CharField(label="Why more than is wanted", required=False, max_length=200)
    short_life_reason = forms.CharField(
        label="Why it goes though it keeps shorter than asked", required=False, max_length=200
    )


class PutBackForm(WritingForm):
    """Which pick is put back."""

    names: ClassVar[Mapping[str, str]] = {"pick": ""}

    pick = forms.IntegerField(min_value=1, max_value=2**63 - 1, widget=forms.HiddenInput)


class PickingShown(NamesAnOrder, is_a_kind_of_page=True):
    """What to pick for an order, and what is picked."""

    template_name = "production/dispatch/picking.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        progress = self.progress
        is_open = progress.state in (CustomerOrder.State.OPEN, CustomerOrder.State.PICKED)
        picks = open_picks().filter(line__order=progress.order).select_related("lot__material", "location", "actor")
        context = {
            "progress": progress,
            "day": delivery_day(progress.order),
            "proposals": [_with_buttons(one) for one in proposals_for(progress)] if is_open else [],
            "picks": [{"pick": one, "form": PutBackForm(initial={"pick": one.pk}, auto_id=False)} for one in picks],
            "form": PickForm(auto_id="pick-%s"),
            "may_write": self.may_write and is_open,
            "offers": offers("stores"),
            **kwargs,
            "order": progress.order,
        }
        return super().get_context_data(**context)


class PickingPage(PickingShown):
    """What to pick, to be looked at."""

    http_method_names = ("get", "head")


class OrderPicking(PickingShown, Step):
    """Picks what was scanned, typed or touched."""

    name = "form"

    def sent_form(self) -> WritingForm:
        """Return what was scanned or touched."""
        return PickForm(self.request.POST, auto_id="pick-%s")

    def write(self, form: Any) -> str:
        """Pick it."""
        asked = dict(form.cleaned_data)
        progress = self.progress
        what = scanned_for(progress, asked.pop("text"), asked["location"])
        asked["location"] = asked["location"] or what.location
        asked["count"] = asked["count"] or what.count
        made = pick(order=progress.order, lot=what.lot, actor=self.person, **asked)
        messages.success(self.request, f"{made.count} of lot {made.lot.code} are picked.")
        return reverse("customer-order-picking", args=[progress.order.pk])


class OrderPutBack(PickingShown, Step):
    """Puts back what was picked."""

    name = "put_back_form"
    right: ClassVar[Right] = Right.VIEW_RECORDS

    def sent_form(self) -> WritingForm:
        """Return which pick."""
        return PutBackForm(self.request.POST)

    def write(self, form: Any) -> str:
        """Put it back."""
        picks = Pick.objects.select_related("line__order", "lot").filter(line__order=self.kwargs["order"])
        made = get_object_or_404(picks, pk=form.cleaned_data["pick"])
        put_back(pick=made, actor=self.person, request_id=form.cleaned_data["request_id"])
        return reverse("customer-order-picking", args=[self.kwargs["order"]])


def _with_buttons(proposal: Any) -> dict[str, Any]:
    """Return the proposal with a form of one touch for each of its ways."""
    ways = [{"way": way, "form": PickForm(initial=_touched(way), auto_id=False)} for way in proposal.lines]
    return {"proposal": proposal, "ways": ways}


def _touched(way: Any) -> dict[str, Any]:
    return {"text": way.lot.code, "location": way.location, "count": way.count}
