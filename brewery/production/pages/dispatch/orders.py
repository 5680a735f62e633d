"""One order of a customer: what it says, what is picked, what went, and what can be done with it; and a new one."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.forms import formset_factory
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormShown, WritingForm, WritingPage, go_on
from brewery.kernel.templatetags.shell import day_text
from brewery.production.models import CustomerOrder
from brewery.production.pages.dispatch.overview import shown_shipment
from brewery.production.pages.dispatch.steps import Step
from brewery.production.queries.customer_orders import (
    OrderProgress,
    customer_orders,
    open_picks,
    progress_of_order,
)
from brewery.production.queries.delivery_notes import propose_note_number, shipments
from brewery.production.services.customer_orders import (
    MOST_OF_ONE,
    WantedLine,
    call_off_customer_order,
    change_customer_order,
    enter_customer_order,
)
from brewery.production.services.dispatch import Papers, ship_order
from inventory.models import Event
from inventory.pages.choices import CustomerField, PackagedField, offers
from inventory.services.reversals import reverse_event

LINES, MORE_LINES, MOST_LINES = 6, 2, 50
PAPERS = ("carrier", "vehicle", "driver", "seal")


class CountField(forms.IntegerField):
    """How many, on the numeric keypad."""

    def __init__(self, **options: Any) -> None:
        widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
        super().__init__(min_value=1, max_value=MOST_OF_ONE, widget=widget, **options)


class WantedForm(forms.Form):
    """So many of one beer; a line without a product is left out."""

    material = PackagedField(label="Product", required=False)
    count = CountField(label="How many", required=False)

    def clean(self) -> dict[str, Any]:
        """Return what was typed. Adds what is missing beside its field."""
        read = super().clean() or {}
        for name, other in (("material", "count"), ("count", "material")):
            if read.get(other) and not read.get(name) and name not in self.errors:
                self.add_error(name, "The line needs this, or leave all of it empty.")
        return read


class KeptForm(WantedForm):
    """A line of an order that is there, or one more; without a number it is taken off the order."""

    def clean(self) -> dict[str, Any]:
        """Return what was typed. Adds what is missing beside its field."""
        read = forms.Form.clean(self) or {}
        if read.get("count") and not read.get("material") and "material" not in self.errors:
            self.add_error("material", "The line needs this, or leave all of it empty.")
        return read


WantedForms = formset_factory(WantedForm, extra=LINES, max_num=MOST_LINES, absolute_max=MOST_LINES)
KeptForms = formset_factory(KeptForm, extra=MORE_LINES, max_num=MOST_LINES, absolute_max=MOST_LINES)


class OrderHeadForm(WritingForm):
    """What an order says besides its lines."""

    wanted_on = forms.DateField(label="Wanted on", widget=DayInput)
    customer_reference = forms.CharField(label="The customer's own order number", required=False, max_length=60)
    deliver_to = forms.CharField(label="Deliver to", required=False, max_length=200)
    note = forms.CharField(label="Note", required=False, max_length=200)


class NewOrderForm(OrderHeadForm):
    """A new order."""

    number = forms.CharField(label="Order number", max_length=40)
    customer = CustomerField(label="Customer")
    field_order = ("request_id", "number", "customer")


class ChangeOrderForm(OrderHeadForm):
    """What of an order is changed, as it was seen."""

    names: ClassVar[Mapping[str, str]] = {"order": "", "revision": "", "lines": ""}

    revision = forms.IntegerField(widget=forms.HiddenInput)


class ShipForm(HappenedForm):
    """The papers of the shipment."""

    names: ClassVar[Mapping[str, str]] = {"order": "", "lot": "", "quantity": "", "lines": ""}

    note_number = forms.CharField(label="Delivery note number", max_length=60)
    carrier = forms.CharField(label="Carrier", required=False, max_length=80)
    vehicle = forms.CharField(label="Vehicle", required=False, max_length=40)
    driver = forms.CharField(label="Driver", required=False, max_length=80)
    seal = forms.CharField(label="Seal", required=False, max_length=40)
    short_life_reason = forms.CharField(
        label="Why it goes though it keeps shorter than asked", required=False, max_length=200
    )


class OrderCallOffForm(WritingForm):
    """Why the rest will not be shipped."""

    names: ClassVar[Mapping[str, str]] = {"order": ""}

    reason = forms.CharField(label="Why what is not shipped will not be", max_length=200)


class UndoForm(WritingForm):
    """Which shipment never happened, and why."""

    names: ClassVar[Mapping[str, str]] = {"quantity": "", "lot": ""}

    event = forms.ModelChoiceField(label="Shipment", queryset=Event.objects.none())
    reason = forms.CharField(label="Why it is taken back", max_length=200)

    def __init__(self, order: CustomerOrder, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        standing = Event.objects.filter(shipment__order=order, reversed_by=None)
        choice = self.fields["event"]
        choice.queryset = standing  # type: ignore[attr-defined]
        choice.label_from_instance = lambda event: event.reference  # type: ignore[attr-defined]


class NewOrderPage(FormShown):
    """The form that enters an order."""

    right: ClassVar[Right] = Right.DISPATCH
    write_right: ClassVar[Right] = Right.DISPATCH
    template_name = "production/dispatch/new_order.html"
    form_class = NewOrderForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        kwargs.setdefault("lines", WantedForms(prefix="lines"))
        return super().get_context_data(offers=offers("packaged", "customers"), **kwargs)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Enter the order, or show the form again with what is wrong."""
        form, lines = NewOrderForm(request.POST), WantedForms(request.POST, prefix="lines")
        if form.is_valid() & lines.is_valid():
            wanted = [WantedLine(**one.cleaned_data) for one in lines if one.cleaned_data.get("material")]
            try:
                order = enter_customer_order(lines=wanted, actor=self.person, **form.cleaned_data)
                return go_on(reverse("customer-order", args=[order.pk]))
            except DomainError as refused:
                form.refuse(refused)
        return self.render_to_response(self.get_context_data(form=form, lines=lines), status=400)


class NamesAnOrder(WritingPage, is_a_kind_of_page=True):
    """A page of one order."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.DISPATCH

    @property
    def progress(self) -> OrderProgress:
        """The order that the address names. Raises Http404."""
        found = customer_orders().filter(pk=self.kwargs["order"]).first()
        if found is None:
            raise Http404("There is no such order.")
        return progress_of_order(found)


class OrderShown(NamesAnOrder, is_a_kind_of_page=True):
    """One order with its forms."""

    template_name = "production/dispatch/order.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        progress = self.progress
        order, is_open = progress.order, progress.state in (CustomerOrder.State.OPEN, CustomerOrder.State.PICKED)
        picks = open_picks().filter(line__order=order)
        went = [shown_shipment(one) for one in shipments().filter(order=order)]
        context = {
            "progress": progress,
            "facts": facts_of(progress),
            "picks": picks.select_related("lot__material", "location", "actor"),
            "shipped": went,
            "may_write": self.may_write and is_open,
            "may_undo": self.person.has_right(Right.REVERSE) and any(not one["is_reversed"] for one in went),
            "ship_form": ShipForm(initial={"note_number": propose_note_number()}, auto_id="ship-%s"),
            "change_form": ChangeOrderForm(initial=_as_it_is(order), auto_id="change-%s"),
            "change_lines": KeptForms(initial=_lines_as_they_are(progress), prefix="lines"),
            "call_off_form": OrderCallOffForm(auto_id="off-%s"),
            "undo_form": UndoForm(order, auto_id="undo-%s"),
            "offers": offers("packaged"),
            **kwargs,
            "order": order,
        }
        return super().get_context_data(**context)


class OrderPage(OrderShown):
    """One order, to be looked at."""

    http_method_names = ("get", "head")


class OrderShipment(OrderShown, Step):
    """Ships what is picked."""

    name = "ship_form"

    def sent_form(self) -> WritingForm:
        """Return the papers that were typed."""
        return ShipForm(self.request.POST)

    def write(self, form: Any) -> str:
        """Ship it."""
        asked = form.cleaned_data
        papers = Papers(**{name: asked.pop(name) for name in PAPERS})
        order = self.progress.order
        ship_order(order=order, papers=papers, actor=self.person, **asked)
        return reverse("customer-order", args=[order.pk])


class OrderChange(OrderShown, Step):
    """Changes what an order says, and its lines."""

    name = "change_form"

    def sent_form(self) -> WritingForm:
        """Return what was typed."""
        return ChangeOrderForm(self.request.POST)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Change it, or show what is wrong."""
        form, lines = self.sent_form(), KeptForms(request.POST, prefix="lines")
        if form.is_valid() & lines.is_valid():
            told = [one.cleaned_data for one in lines if one.cleaned_data.get("count")]
            form.cleaned_data["lines"] = [WantedLine(**line) for line in told]
            try:
                return go_on(self.write(form))
            except DomainError as refused:
                form.refuse(refused)
        context = self.get_context_data(change_form=form, change_lines=lines, is_changing=True)
        return self.render_to_response(context, status=400)

    def write(self, form: Any) -> str:
        """Change it, as it was seen."""
        changes = dict(form.cleaned_data)
        request_id, revision = changes.pop("request_id"), changes.pop("revision")
        order, by = self.progress.order, self.person
        change_customer_order(order=order, revision=revision, changes=changes, actor=by, request_id=request_id)
        return reverse("customer-order", args=[order.pk])


class OrderCallOff(OrderShown, Step):
    """Calls off what is not shipped."""

    name = "call_off_form"

    def sent_form(self) -> WritingForm:
        """Return the reason."""
        return OrderCallOffForm(self.request.POST)

    def write(self, form: Any) -> str:
        """Call it off."""
        order = self.progress.order
        call_off_customer_order(order=order, actor=self.person, **form.cleaned_data)
        return reverse("customer-order", args=[order.pk])


class OrderUndo(OrderShown, Step):
    """Takes a shipment back that never happened; the order is open again."""

    write_right: ClassVar[Right] = Right.REVERSE
    name = "undo_form"

    def sent_form(self) -> WritingForm:
        """Return which shipment, and why."""
        return UndoForm(get_object_or_404(CustomerOrder, pk=self.kwargs["order"]), self.request.POST)

    def write(self, form: Any) -> str:
        """Reverse it."""
        reverse_event(actor=self.person, **form.cleaned_data)
        return reverse("customer-order", args=[self.kwargs["order"]])


def facts_of(progress: OrderProgress) -> list[Fact]:
    """Return what is known of an order, label by label."""
    order = progress.order
    facts = [
        Fact("Customer", order.customer.name, reverse("customer", args=[order.customer_id])),
        Fact("Wanted on", day_text(order.wanted_on)),
        Fact("State", progress.state.label),
    ]
    more = {
        "Customer's own number": order.customer_reference,
        "Deliver to": order.deliver_to,
        "Note": order.note,
        "Called off because": order.called_off_because,
    }
    return facts + [Fact(label, words) for label, words in more.items() if words]


def _lines_as_they_are(progress: OrderProgress) -> list[dict[str, Any]]:
    return [{"material": one.line.material.code, "count": one.line.count} for one in progress.lines]


def _as_it_is(order: CustomerOrder) -> dict[str, Any]:
    names = ("wanted_on", "customer_reference", "deliver_to", "note", "revision")
    return {name: getattr(order, name) for name in names}
