"""The stock: by material, by lot, by place."""

from abc import ABC, abstractmethod
from collections.abc import Sequence
from typing import Any, ClassVar, cast
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.models import User
from brewery.kernel.pages.access import Page
from inventory.models import Balance, Material
from inventory.pages.choices import offers
from inventory.pages.stock.filters import LotStockFilter, LyingStockFilter, MaterialStockFilter, StockFilter
from inventory.queries.stock import (
    SORTS,
    LotAge,
    MaterialStock,
    PlaceStock,
    balances_on_hand,
    lots_on_hand,
    stock_of_lots,
    stock_of_materials,
)

PAGE = 100
VIEWS = (("By material", "stock"), ("By lot", "stock-lots"), ("By place", "stock-places"))
EXPORTS = (("CSV", "csv"), ("CSV for spreadsheets", "csv-bom"), ("XLSX", "xlsx"))

HOW = ("sort", "all")
"""What a page is asked for that a file does not need: it holds everything."""


class StockView(Page, ABC, is_a_kind_of_page=True):
    """One way to look at the stock, a page at a time."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    filter_class: ClassVar[type[StockFilter]]
    view: ClassVar[str]

    @abstractmethod
    def rows_of(self, form: Any) -> Sequence[Any]:
        """Return the rows of the page asked for, and one more where there are more."""

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = self.filter_class(self.request.GET)
        rows, number = (self.rows_of(form), form.page_number) if form.is_valid() else ([], 1)
        return super().get_context_data(
            filter_form=form,
            rows=rows[:PAGE],
            today=brewery_day(),
            views=[{"label": label, "href": reverse(name), "is_current": name == self.view} for label, name in VIEWS],
            exports=[{"label": label, "href": self._export(form_of_file)} for label, form_of_file in EXPORTS],
            offers=offers(*form.offers),
            may_read_in=cast(User, self.request.user).has_right(Right.KEEP_REGISTERS),
            previous_url=self._url(number - 1) if number > 1 else None,
            next_url=self._url(number + 1) if len(rows) > PAGE else None,
            **kwargs,
        )

    def _url(self, number: int) -> str:
        return "?" + urlencode({**self._narrowed(), "page": number})

    def _export(self, form_of_file: str) -> str:
        narrowed = {name: text for name, text in self._narrowed().items() if name not in HOW}
        asked = {**narrowed, "view": self.view.removeprefix("stock-"), "form": form_of_file}
        return f"{reverse('stock-export')}?{urlencode(asked)}"

    def _narrowed(self) -> dict[str, str]:
        return {name: str(text) for name, text in self.request.GET.items() if name != "page" and text}


class StockPage(StockView):
    """What is on hand of every material. It shows all of them on one page: a brewery has some hundreds."""

    template_name = "inventory/stock/materials.html"
    filter_class = MaterialStockFilter
    view = "stock"

    def rows_of(self, form: Any) -> Sequence[Any]:
        """Return the materials asked for, in the order asked for."""
        materials = Material.objects.all()
        if form.wanted.material:
            materials = materials.filter(pk=form.wanted.material.pk)
        if form.wanted.kind:
            materials = materials.filter(kind=form.wanted.kind)
        if not form.cleaned_data["all"]:
            materials = materials.filter(pk__in=Balance.objects.on_hand().values("lot__material"))
        stocks = stock_of_materials(list(materials), brewery_day())
        start = (form.page_number - 1) * PAGE
        return sorted_materials(stocks, form.cleaned_data["sort"])[start : start + PAGE + 1]


class StockLotsPage(StockView):
    """What is on hand of every lot."""

    template_name = "inventory/stock/lots.html"
    filter_class = LotStockFilter
    view = "stock-lots"

    def rows_of(self, form: Any) -> Sequence[Any]:
        """Return the lots asked for, in the order asked for."""
        lots = lots_on_hand(form.wanted).order_by(*SORTS[form.cleaned_data["sort"] or "best_before"])
        return stock_of_lots(_slice(lots, form.page_number), brewery_day())


class StockPlacesPage(StockView):
    """What lies of every lot in every place."""

    template_name = "inventory/stock/places.html"
    filter_class = LyingStockFilter
    view = "stock-places"

    def rows_of(self, form: Any) -> Sequence[Any]:
        """Return what lies where, as asked for."""
        balances = balances_on_hand(form.wanted).order_by("location__code", "lot__code", "pk")
        return [
            {
                "place": PlaceStock(balance.location, balance.quantity_micro),
                "age": LotAge(balance.lot, brewery_day()),
                "micro": balance.quantity_micro,
            }
            for balance in _slice(balances, form.page_number)
        ]


def sorted_materials(stocks: Sequence[MaterialStock], sort: str) -> list[MaterialStock]:
    """Return the materials in the order of their codes, names or kinds, or the first to expire first."""
    if sort == "name":
        return sorted(stocks, key=lambda stock: (stock.material.name.casefold(), stock.material.code))
    if sort == "kind":
        return sorted(stocks, key=lambda stock: (stock.material.kind, stock.material.code))
    if sort == "expiry":
        return sorted(
            stocks, key=lambda stock: (stock.next_best_before is None, stock.next_best_before or brewery_day())
        )
    return list(stocks)


def _slice(rows: QuerySet[Any], number: int) -> list[Any]:
    start = (number - 1) * PAGE
    return list(rows[start : start + PAGE + 1])
