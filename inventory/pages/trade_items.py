"""Trade items: which GTIN stands for how much of which material, and a new one."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Material, TradeItem
from inventory.pages.choices import MaterialField, offers
from inventory.pages.scanned import GtinField
from inventory.services.trade_items import add_trade_item


class TradeItemForm(WritingForm):
    """A GTIN and what it stands for."""

    names: ClassVar[Mapping[str, str]] = {"content_micro": "content"}

    gtin = GtinField(label="GTIN: scan what bears it, or type its digits")
    material = MaterialField(label="Material")
    name = forms.CharField(label="Name", required=False, max_length=120)
    content = forms.CharField(
        label="What one holds", required=False, max_length=60, help_text="Leave it empty where they are not alike."
    )

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `content_micro`. Adds what is wrong beside its field."""
        read = super().clean() or {}
        material, typed = read.get("material"), read.pop("content", "")
        read["content_micro"] = None
        if isinstance(material, Material) and typed:
            try:
                read["content_micro"] = typed_micro(typed, material.base_unit)
            except UnitError as wrong:
                self.add_error("content", str(wrong))
        return read


class TradeItemsPage(WritingPage):
    """All trade items: a brewery has some hundreds."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.KEEP_REGISTERS
    template_name = "inventory/trade_items.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        items = TradeItem.objects.select_related("material").order_by("material__code", "gtin")
        return super().get_context_data(items=list(items), may_write=self.may_write, **kwargs)


class NewTradeItemPage(FormPage):
    """The form that enters a trade item."""

    right: ClassVar[Right] = Right.KEEP_REGISTERS
    write_right: ClassVar[Right] = Right.KEEP_REGISTERS
    template_name = "inventory/new_trade_item.html"
    form_class = TradeItemForm

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; a new one is for the GTIN that the address names."""
        return TradeItemForm(*data) if data else TradeItemForm(initial={"gtin": self.request.GET.get("gtin", "")})

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(offers=offers("materials"), **kwargs)

    def write(self, form: Any) -> str:
        """Enter it."""
        add_trade_item(actor=self.person, **form.cleaned_data)
        return reverse("trade-items")
