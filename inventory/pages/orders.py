"""Purchase orders: what is still to come, one order, and a new one."""

from typing import Any, ClassVar

from django import forms
from django.forms import BaseFormSet, formset_factory
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.writing import FormPage, FormShown, WritingForm, WritingPage, go_on
from brewery.kernel.templatetags.shell import day_text, moment_text
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import PurchaseOrder
from inventory.pages.choices import MaterialField, SupplierField, offers
from inventory.queries.orders import order_lines, outstanding_lines, progress_of
from inventory.services.orders import OrderedLine, close_order, enter_order

LINES_AT_FIRST = 4
MOST_LINES = 200


class OrderLineForm(forms.Form):
    """One material of an order; a line without a material is left out."""

    material = MaterialField(label="Material", required=False)
    quantity = forms.CharField(label="Quantity", required=False, max_length=60)
    due_on = forms.DateField(label="Due on", required=False, widget=DayInput)
    supplier_reference = forms.CharField(label="Supplier's reference", required=False, max_length=60)

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `quantity_micro`. Adds what is missing beside its field."""
        read = super().clean() or {}
        if not self.errors and not any(read.values()):
            return read
        for name in ("material", "quantity", "due_on"):
            if not read.get(name) and name not in self.errors:
                self.add_error(name, "The line needs this, or leave all of it empty.")
        if read.get("material") and read.get("quantity"):
            try:
                read["quantity_micro"] = typed_micro(read["quantity"], read["material"].base_unit)
            except UnitError as wrong:
                self.add_error("quantity", str(wrong))
        return read


LineForms = formset_factory(OrderLineForm, extra=LINES_AT_FIRST, absolute_max=MOST_LINES, max_num=MOST_LINES)


class OrderForm(WritingForm):
    """The head of a new order."""

    number = forms.CharField(label="Order number", max_length=40)
    supplier = SupplierField(label="Supplier")
    ordered_on = forms.DateField(label="Ordered on", widget=DayInput)
    note = forms.CharField(label="Note", required=False, max_length=200)


class CloseForm(WritingForm):
    """Why no more of an order will come."""

    reason = forms.CharField(label="Why no more of it will come", max_length=200)


class OrdersPage(WritingPage):
    """What is still to come, the first due first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.RECEIVE
    template_name = "inventory/orders.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        today = timezone.localdate()
        rows = [{"progress": one, "is_late": one.is_late(today)} for one in progress_of(outstanding_lines())]
        return super().get_context_data(rows=rows, may_write=self.may_write, **kwargs)


class OrderPage(FormPage):
    """One order, how much of each line has come, and the form that closes it."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.RECEIVE
    template_name = "inventory/order.html"
    form_class = CloseForm

    @property
    def order(self) -> PurchaseOrder:
        """The order that the address names. Raises Http404."""
        found = PurchaseOrder.objects.select_related("supplier").filter(pk=self.kwargs["order"]).first()
        if found is None:
            raise Http404(f"There is no order {self.kwargs['order']}.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        order = self.order
        today = timezone.localdate()
        rows = progress_of(order_lines().filter(order=order))
        context = {
            **kwargs,
            "order": order,
            "facts": facts_of(order),
            "rows": [{"progress": one, "is_late": one.is_late(today)} for one in rows],
            "may_close": self.may_write and order.closed_at is None,
        }
        return super().get_context_data(**context)

    def write(self, form: Any) -> str:
        """Close the order."""
        close_order(order=self.order, actor=self.person, **form.cleaned_data)
        return reverse("order", args=[self.kwargs["order"]])


class NewOrderPage(FormShown):
    """The form that enters an order."""

    right: ClassVar[Right] = Right.RECEIVE
    write_right: ClassVar[Right] = Right.RECEIVE
    template_name = "inventory/new_order.html"
    form_class = OrderForm

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; a new one is of today."""
        return OrderForm(*data) if data else OrderForm(initial={"ordered_on": timezone.localdate()})

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        kwargs.setdefault("lines", LineForms(prefix="lines"))
        return super().get_context_data(offers=offers("materials", "suppliers"), **kwargs)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Enter the order; or show the form again, with more lines or with what is wrong."""
        if "more" in request.POST:
            return self.render_to_response(self.get_context_data(form=self._kept(), lines=self._more_lines()))
        form, lines = self.new_form(request.POST), LineForms(request.POST, prefix="lines")
        if form.is_valid() & lines.is_valid():
            try:
                return go_on(self._enter(form, lines))
            except DomainError as refused:
                form.refuse(refused)
        return self.render_to_response(self.get_context_data(form=form, lines=lines), status=400)

    def _enter(self, form: WritingForm, lines: "BaseFormSet[Any]") -> str:
        given = [line.cleaned_data for line in lines if line.cleaned_data.get("material")]
        ordered = [
            OrderedLine(line["material"], line["quantity_micro"], line["due_on"], line["supplier_reference"])
            for line in given
        ]
        order = enter_order(lines=ordered, actor=self.person, **form.cleaned_data)
        return reverse("order", args=[order.pk])

    def _kept(self) -> WritingForm:
        """Return the form with what was typed, unjudged."""
        return OrderForm(initial=self.request.POST.dict())

    def _more_lines(self) -> "BaseFormSet[Any]":
        sent = self.request.POST
        told = sent.get("lines-TOTAL_FORMS", "")
        count = min(int(told), MOST_LINES) if told.isdecimal() else 0
        names = OrderLineForm.base_fields
        typed = [{name: sent.get(f"lines-{index}-{name}", "") for name in names} for index in range(count)]
        return LineForms(initial=typed, prefix="lines")


def facts_of(order: PurchaseOrder) -> list[Fact]:
    """Return what is known of an order, label by label."""
    facts = [Fact("Supplier", order.supplier.name), Fact("Ordered on", day_text(order.ordered_on))]
    if order.note:
        facts.append(Fact("Note", order.note))
    if order.closed_at:
        facts += [Fact("Closed", moment_text(order.closed_at)), Fact("Why", order.closed_reason)]
    return facts
