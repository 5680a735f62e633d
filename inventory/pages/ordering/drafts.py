"""Drafts of orders: those that are open, and one, to be changed, ordered or thrown away."""

from collections.abc import Sequence
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.writing import FormShown, WritingForm, go_on
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError, format_micro
from inventory.models import OrderDraft, OrderDraftLine, SupplyContract
from inventory.queries.supply_contracts import contracts
from inventory.services.order_drafts import DraftedLine, change_order_draft, discard_order_draft, order_draft


class OrderDraftForm(WritingForm):
    """Under which number it is ordered, and when."""

    names = {"revision": ""}

    number = forms.CharField(label="Order number", max_length=40, required=False)
    ordered_on = forms.DateField(label="Ordered on", widget=DayInput, required=False)
    note = forms.CharField(label="Note", required=False, max_length=200)
    revision = forms.IntegerField(widget=forms.HiddenInput)


class DraftLineForm(forms.Form):
    """One line; without a quantity it is left out."""

    quantity = forms.CharField(label="Quantity", required=False, max_length=60)
    due_on = forms.DateField(label="Due on", required=False, widget=DayInput)
    contract = forms.ModelChoiceField(label="Off contract", queryset=SupplyContract.objects.none(), required=False)

    def __init__(self, line: OrderDraftLine, fitting: Sequence[SupplyContract], data: Any = None) -> None:
        unit = line.material.base_unit
        initial = {
            "quantity": f"{format_micro(line.quantity_micro, unit)} {unit}",
            "due_on": line.due_on,
            "contract": line.contract_id,
        }
        super().__init__(data, prefix=f"line-{line.pk}", initial=initial)
        self.line = line
        field = self.fields["contract"]
        field.queryset = SupplyContract.objects.filter(pk__in=[one.pk for one in fitting])  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `drafted`, a DraftedLine or None. Adds what is wrong beside its field."""
        read = super().clean() or {}
        read["drafted"] = None
        if read.get("quantity") and not read.get("due_on"):
            self.add_error("due_on", "Say by when it should come.")
        elif read.get("quantity"):
            try:
                micro = typed_micro(read["quantity"], self.line.material.base_unit)
                read["drafted"] = DraftedLine(self.line.material, micro, read["due_on"], read.get("contract"))
            except UnitError as wrong:
                self.add_error("quantity", str(wrong))
        return read


class OrderDraftsPage(Page):
    """The drafts, open ones first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/ordering/drafts.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        rows = OrderDraft.objects.select_related("supplier", "made_by", "order").prefetch_related("lines__material")
        drafts = sorted(rows[:200], key=lambda one: one.state != OrderDraft.State.OPEN)
        return super().get_context_data(drafts=drafts, **kwargs)


class OrderDraftPage(FormShown):
    """One draft."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.RECEIVE
    template_name = "inventory/ordering/draft.html"
    form_class = OrderDraftForm

    @property
    def draft(self) -> OrderDraft:
        """The draft that the address names. Raises Http404."""
        found = OrderDraft.objects.select_related("supplier", "order").filter(pk=self.kwargs["draft"]).first()
        if found is None:
            raise Http404(f"There is no draft {self.kwargs['draft']}.")
        return found

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; a new one is of today."""
        initial = {"ordered_on": brewery_day(), "revision": self.draft.revision}
        return OrderDraftForm(*data) if data else OrderDraftForm(initial=initial)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        draft = self.draft
        kwargs.setdefault("lines", self._lines(draft))
        is_open = draft.state == OrderDraft.State.OPEN
        return super().get_context_data(**{**kwargs, "draft": draft}, may_write=self.may_write and is_open)

    def _lines(self, draft: OrderDraft, data: Any = None) -> list[DraftLineForm]:
        lines = list(draft.lines.select_related("material", "contract"))
        there = list(contracts().filter(supplier=draft.supplier, closed_at=None))
        fitting = {one.pk: [contract for contract in there if contract.material_id == one.material_id] for one in lines}
        return [DraftLineForm(line, fitting[line.pk], data) for line in lines]

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Change it, order it or throw it away; or show it again with what is wrong."""
        draft, form = self.draft, self.new_form(request.POST)
        lines = self._lines(draft, request.POST) if "change" in request.POST else self._lines(draft)
        if form.is_valid() and all(line.is_valid() for line in lines if line.is_bound):
            try:
                return go_on(self._do(draft, form.cleaned_data, lines))
            except DomainError as refused:
                form.refuse(refused)
        return self.render_to_response(self.get_context_data(form=form, lines=lines), status=400)

    def _do(self, draft: OrderDraft, asked: dict[str, Any], lines: Sequence[DraftLineForm]) -> str:
        by = {"actor": self.person, "request_id": asked["request_id"], "draft": draft, "revision": asked["revision"]}
        if "change" in self.request.POST:
            drafted = [line.cleaned_data["drafted"] for line in lines if line.cleaned_data["drafted"]]
            change_order_draft(lines=drafted, **by)
        elif "discard" in self.request.POST:
            discard_order_draft(**by)
            messages.success(self.request, "The draft is thrown away.")
            return reverse("order-drafts")
        else:
            ordered_on = asked["ordered_on"] or brewery_day()
            order = order_draft(number=asked["number"], ordered_on=ordered_on, note=asked["note"], **by)
            return reverse("order", args=[order.pk])
        return reverse("order-draft", args=[draft.pk])
