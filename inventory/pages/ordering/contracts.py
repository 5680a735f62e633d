"""Contracts of supply: all of them, one, and a new one."""

from typing import Any, ClassVar

from django import forms
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage
from brewery.kernel.templatetags.shell import day_text, exact_quantity, moment_text
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import SupplyContract
from inventory.pages.choices import MaterialField, SupplierField, offers
from inventory.queries.orders import order_lines, progress_of
from inventory.queries.supply_contracts import Calls, calls_of, contracts
from inventory.services.supply_contracts import close_contract, enter_contract


class ContractForm(WritingForm):
    """A new contract."""

    number = forms.CharField(label="Contract number", max_length=40)
    supplier = SupplierField(label="Supplier")
    material = MaterialField(label="Material")
    quantity = forms.CharField(label="Quantity", max_length=60, help_text="With its unit where it is another.")
    crop_year = forms.IntegerField(label="Crop year", required=False)
    begins_on = forms.DateField(label="Call off from", widget=DayInput)
    ends_on = forms.DateField(label="Through", widget=DayInput)
    note = forms.CharField(label="Note", required=False, max_length=200)

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `quantity_micro`. Adds what is wrong beside its field."""
        read = super().clean() or {}
        if read.get("material") and read.get("quantity"):
            try:
                read["quantity_micro"] = typed_micro(read.pop("quantity"), read["material"].base_unit)
            except UnitError as wrong:
                self.add_error("quantity", str(wrong))
        return read


class CloseContractForm(WritingForm):
    """Why no more is called off."""

    reason = forms.CharField(label="Why no more of it is called off", max_length=200)


class ContractsPage(WritingPage):
    """All contracts, the first to end first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.RECEIVE
    template_name = "inventory/ordering/contracts.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        today = brewery_day()
        rows = [{"calls": one, "is_open": one.is_open(today)} for one in calls_of(contracts())]
        return super().get_context_data(rows=rows, may_write=self.may_write, **kwargs)


class NewContractPage(FormPage):
    """The form that enters a contract."""

    right: ClassVar[Right] = Right.RECEIVE
    write_right: ClassVar[Right] = Right.RECEIVE
    template_name = "inventory/ordering/new_contract.html"
    form_class = ContractForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(offers=offers("materials", "suppliers"), **kwargs)

    def write(self, form: Any) -> str:
        """Enter it."""
        contract = enter_contract(actor=self.person, **form.cleaned_data)
        return reverse("contract", args=[contract.pk])


class ContractPage(FormPage):
    """One contract, the orders that called it off, and the form that closes it."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.RECEIVE
    template_name = "inventory/ordering/contract.html"
    form_class = CloseContractForm

    @property
    def contract(self) -> SupplyContract:
        """The contract that the address names. Raises Http404."""
        found = contracts().filter(pk=self.kwargs["contract"]).first()
        if found is None:
            raise Http404(f"There is no contract {self.kwargs['contract']}.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        contract = self.contract
        (calls,) = calls_of([contract])
        rows = progress_of(order_lines().filter(contract=contract))
        today = brewery_day()
        context = {
            **kwargs,
            "contract": contract,
            "facts": facts_of(calls),
            "rows": [{"progress": one, "is_late": one.is_late(today)} for one in rows],
            "may_close": self.may_write and contract.closed_at is None,
        }
        return super().get_context_data(**context)

    def write(self, form: Any) -> str:
        """Close it."""
        close_contract(contract=self.contract, actor=self.person, **form.cleaned_data)
        return reverse("contract", args=[self.kwargs["contract"]])


def facts_of(calls: Calls) -> list[Fact]:
    """Return what is known of a contract, label by label."""
    contract = calls.contract
    unit = contract.material.base_unit
    facts = [
        Fact("Supplier", contract.supplier.name),
        Fact("Material", contract.material.name),
        Fact("Contracted", exact_quantity(contract.quantity_micro, unit)),
        Fact("Called off", exact_quantity(calls.called_micro, unit)),
        Fact("Has come", exact_quantity(calls.came_micro, unit)),
        Fact("Remains", exact_quantity(calls.remaining_micro, unit)),
        Fact("Call off", f"{day_text(contract.begins_on)} to {day_text(contract.ends_on)}"),
    ]
    if contract.crop_year:
        facts.append(Fact("Crop year", str(contract.crop_year)))
    if contract.note:
        facts.append(Fact("Note", contract.note))
    if contract.closed_at:
        facts += [Fact("Closed", moment_text(contract.closed_at)), Fact("Why", contract.closed_reason)]
    return facts
