"""Usage for the accountant: materials of a period by material, product, brew or lot, as a page and as files."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any, ClassVar
from urllib.parse import urlencode

from django import forms
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.files import file_answer
from brewery.kernel.services.spreadsheets import XLSX, book_bytes, csv_lines
from brewery.kernel.templatetags.shell import set_apart
from brewery.science.duty.periods import period_of
from brewery.science.duty.schemes import PeriodKind
from inventory.models import Material
from inventory.pages.stock.values import PeriodForm
from inventory.queries.usage import COLUMNS, Period, month_of
from traceability.queries.usage_postings import NET_USE
from traceability.queries.usage_report import By, UsageRow, usage_rows, value_of
from traceability.queries.usage_tables import MASSES, VOLUMES, Units, about, costs_of, usage_table, variance_table
from traceability.queries.usage_variance import DOUBTED_PCT, Variance, variances

PAGE = 200
"""So many rows are shown at once; files and the command have all of them."""


class UsageForm(PeriodForm):
    """Which days, by what, in which units."""

    by = forms.ChoiceField(label="By", choices=[(one.value, one.value) for one in By], required=False)
    mass = forms.ChoiceField(label="Masses in", choices=[(one, one) for one in MASSES], required=False)
    volume = forms.ChoiceField(label="Volumes in", choices=[(one, one) for one in VOLUMES], required=False)


class VarianceForm(PeriodForm):
    """Which days, and whether only what is marked."""

    marked = forms.BooleanField(label="Only what is marked", required=False)

    def variances(self) -> list[Variance]:
        """Return what the form, which is valid, asks for."""
        told = self.cleaned_data
        found = variances(Period(told["first"], told["last"]))
        return [one for one in found if one.is_doubted or not told["marked"]]


@dataclass(frozen=True)
class Asked:
    """What a page or file of usage is asked for."""

    period: Period
    by: By
    units: Units

    @classmethod
    def by_form(cls, form: Any) -> "Asked":
        """Return what a form that is valid asks for."""
        told = form.cleaned_data
        units = Units(told.get("mass") or "kg", told.get("volume") or "L")
        return cls(Period(told["first"], told["last"]), By(told.get("by") or By.MATERIAL), units)

    @classmethod
    def by_address(cls, request: Any) -> "Asked":
        """Return what an address asks for. Raises Http404 for one that names no days."""
        return cls.by_form(form_of_address(UsageForm, request))

    def query(self, period: Period | None = None, **more: str) -> str:
        """Return the same, or another period, as the query of an address."""
        of = period or self.period
        days = {"first": of.first.isoformat(), "last": of.last.isoformat()}
        return urlencode({**days, "by": self.by.value, "mass": self.units.mass, "volume": self.units.volume, **more})

    def told(self, micro: int | None, material: Material) -> str:
        """Return a quantity in its unit, without naming it."""
        return "" if micro is None else set_apart(str(self.units.amount(micro, material)))


class UsagePage(Page):
    """A period: every material opens, moves and closes."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/usage/overview.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = UsageForm(self.request.GET if "first" in self.request.GET else last_month())
        context: dict[str, Any] = {**kwargs, "filter_form": form}
        if form.is_valid():
            asked = Asked.by_form(form)
            found = usage_rows(asked.period, asked.by)
            page = Paginator(found, PAGE).get_page(self.request.GET.get("page"))
            names = [name for name in COLUMNS if any(row.columns[name] for row in found)]
            context |= {
                "period": asked.period,
                "asked": asked.query(),
                "others": [(words, asked.query(period)) for words, period in _others(asked.period, brewery_day())],
                "by": asked.by.value,
                "is_whole": asked.by is By.MATERIAL,
                "rows": [_shown(row, names, asked) for row in page],
                "previous_url": f"?{asked.query(page=str(page.number - 1))}" if page.has_previous() else None,
                "next_url": f"?{asked.query(page=str(page.number + 1))}" if page.has_next() else None,
                "names": [COLUMNS[name][0] for name in names],
                "sees_costs": sees_costs(self.request),
                "all_costs": costs_of(value_of(found)),
                "without_cost": len({row.material.pk for row in found if row.cost.bare}),
            }
        return super().get_context_data(**context)


class UsageBook(Page):
    """A period as a workbook: by material, product, brew and lot, and beside the sheets."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Answer the workbook. Raises Http404."""
        asked, costs = Asked.by_address(request), sees_costs(request)
        period = asked.period
        tables = [usage_table(usage_rows(period, by), by, asked.units, with_costs=costs) for by in By]
        content = book_bytes([about(period), *tables, variance_table(variances(period))])
        return file_answer(content, f"usage-{period.first}-{period.last}.xlsx", XLSX)


class UsageFile(Page):
    """A period as CSV."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Answer the file. Raises Http404."""
        asked = Asked.by_address(request)
        period, by = asked.period, asked.by
        table = usage_table(usage_rows(period, by), by, asked.units, with_costs=sees_costs(request))
        content = "".join(csv_lines(table, byte_order_mark=True)).encode()
        return file_answer(content, f"usage-{by}-{period.first}-{period.last}.csv", "text/csv; charset=utf-8")


class UsageVariancePage(Page):
    """What was drawn for the brews of a period, beside what their sheets wanted."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/usage/variance.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = VarianceForm(self.request.GET if "first" in self.request.GET else last_month())
        rows = form.variances() if form.is_valid() else []
        return super().get_context_data(
            **kwargs, filter_form=form, rows=rows, doubted_pct=DOUBTED_PCT, asked=urlencode(form.data)
        )


class UsageVarianceFile(Page):
    """The same as CSV."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Answer the file. Raises Http404."""
        form = form_of_address(VarianceForm, request)
        content = "".join(csv_lines(variance_table(form.variances()), byte_order_mark=True)).encode()
        days = f"{form.cleaned_data['first']}-{form.cleaned_data['last']}"
        return file_answer(content, f"beside-sheets-{days}.csv", "text/csv; charset=utf-8")


def form_of_address(form_class: type[PeriodForm], request: Any) -> Any:
    """Return the form that an address fills in. Raises Http404 where it is not valid."""
    form = form_class(request.GET)
    if not form.is_valid():
        raise Http404(f"The address must name days and no more than it can: {form.errors.as_text()}")
    return form


def sees_costs(request: Any) -> bool:
    """Whether whoever asks may see what lots cost."""
    return bool(request.user.has_right(Right.KEEP_COSTS))


def last_month() -> dict[str, str]:
    """Return the days of the month before this one, as an address gives them."""
    period = month_of(brewery_day()).before
    return {"first": period.first.isoformat(), "last": period.last.isoformat()}


def _others(shown: Period, today: date) -> Iterator[tuple[str, Period]]:
    """Yield the periods that accountants go to from this one."""
    yield "The period before", shown.before
    yield "A year before", shown.year_before
    for words, kind in (("month", PeriodKind.MONTH), ("quarter", PeriodKind.QUARTER), ("year", PeriodKind.YEAR)):
        this = Period(*period_of(kind, today))
        yield f"This {words}", this
        yield f"Last {words}", this.before


def _shown(row: UsageRow, names: list[str], asked: Asked) -> dict[str, Any]:
    material, cost = row.material, costs_of(row.cost)
    before, year_before = asked.period.before, asked.period.year_before

    def cell(micro: int | None, figure: str, period: Period | None = None) -> tuple[str, str]:
        """Return a figure and the address of its postings; both "" where there is none."""
        if not micro:
            return ("" if micro is None else "0", "")
        path = reverse("usage-postings", args=[material.pk, figure])
        return asked.told(micro, material), f"{path}?{asked.query(period, key=row.key)}"

    return {
        "row": row,
        "unit": asked.units.of(material),
        "opening": cell(row.opening_micro, "opening"),
        "columns": [cell(row.columns[name] or None, name) for name in names],
        "closing": cell(row.closing_micro, "closing"),
        "before": cell(row.used_before_micro, NET_USE, before),
        "year_before": cell(row.used_year_before_micro, NET_USE, year_before),
        "cost": (cost, cell(row.used_micro, NET_USE)[1] if cost else ""),
        "without_cost": asked.told(row.cost.without_cost_micro or None, material),
    }
