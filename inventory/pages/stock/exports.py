"""The stock as a file: what a page shows, all of it, as CSV or XLSX."""

from typing import Any, ClassVar

from django import forms
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.utils.http import content_disposition_header

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.access import Page
from brewery.kernel.services.spreadsheets import XLSX, Table, csv_lines, xlsx_bytes
from inventory.pages.stock.filters import LyingStockFilter
from inventory.services.stock_exports import TABLES

CSV = "text/csv; charset=utf-8; header=present"


class ExportForm(LyingStockFilter):
    """Which view, in which form, narrowed as its page is. A byte order mark helps some spreadsheets to read UTF-8."""

    view = forms.ChoiceField(choices=[("stock", "by material"), ("lots", "by lot"), ("places", "by place")])
    form = forms.ChoiceField(choices=[("csv", "CSV"), ("csv-bom", "CSV with a byte order mark"), ("xlsx", "XLSX")])


class StockExport(Page):
    """One view of the stock as a file."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        form = ExportForm(request.GET)
        if not form.is_valid():
            return HttpResponseBadRequest(form.errors.as_text(), content_type="text/plain; charset=utf-8")
        asked, today = form.cleaned_data, brewery_day()
        table = TABLES[asked["view"]](form.wanted, today)
        answer = as_file(table, asked["form"])
        name = f"stock-{table.name.lower()}-{today.isoformat()}.{asked['form'].partition('-')[0]}"
        answer["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
        answer["X-Content-Type-Options"] = "nosniff"
        return answer


def as_file(table: Table, form: str) -> HttpResponse:
    """Return the table in the form asked for, whole: half a file would look like all of it."""
    if form == "xlsx":
        return HttpResponse(xlsx_bytes(table), content_type=XLSX)
    return HttpResponse("".join(csv_lines(table, byte_order_mark=form == "csv-bom")), content_type=CSV)
