"""Usage for the accountant: materials of a period by material, product, brew or lot, down to the postings."""

from typing import Any, ClassVar

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.safestring import mark_safe

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.drawing.chart import Chart, draw
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.files import file_answer
from brewery.kernel.services.spreadsheets import XLSX, book_bytes, csv_lines
from brewery.kernel.templatetags.shell import set_apart
from brewery.science.units import MICRO
from inventory.models import Material
from inventory.pages.stock.values import PeriodForm
from inventory.queries.usage import COLUMNS, Period, month_of, usage_of
from traceability.queries.duty_overview import months_until
from traceability.queries.usage_moves import postings_of_usage
from traceability.queries.usage_report import By, UsageRow, usage_rows
from traceability.queries.usage_tables import about, costs_of, quantity_in, unit_of_row, usage_table, variance_table
from traceability.queries.usage_variance import DOUBTED_PCT, variances

MOST_SHOWN = 500
UNITS = (("", "as they are counted"), ("customary", "pounds and US gallons"))


class UsageForm(PeriodForm):
    """Which days, by what, in which units."""

    by = forms.ChoiceField(label="By", choices=[(one.value, one.value) for one in By], required=False)
    units = forms.ChoiceField(label="Units", choices=UNITS, required=False)


class UsagePage(Page):
    """A period: every material opens, moves and closes."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/usage/overview.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = UsageForm(self.request.GET if "first" in self.request.GET else _last_month())
        context: dict[str, Any] = {**kwargs, "filter_form": form}
        if form.is_valid():
            by, customary = By(form.cleaned_data["by"] or By.MATERIAL), bool(form.cleaned_data["units"])
            period = _period_of(form)
            found = usage_rows(period, by)
            names = [name for name in COLUMNS if any(row.columns[name] for row in found)]
            rows = [_shown(row, names, customary=customary) for row in found]
            asked = f"first={period.first}&last={period.last}&by={by}&units={form.cleaned_data['units']}"
            context |= {"period": period, "by": by.value, "is_whole": by is By.MATERIAL, "rows": rows, "asked": asked}
            context |= {"names": [COLUMNS[name][0] for name in names], "sees_costs": sees_costs(self.request)}
        return super().get_context_data(**context)


class UsageBook(Page):
    """A period as a workbook: by material, product, brew and lot, and beside the sheets."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Answer the workbook. Raises Http404."""
        form = _asked(request)
        period, costs = _period_of(form), sees_costs(request)
        customary = bool(form.cleaned_data["units"])
        tables = [usage_table(usage_rows(period, by), by, customary=customary, with_costs=costs) for by in By]
        content = book_bytes([about(period), *tables, variance_table(variances(period))])
        return file_answer(content, f"usage-{period.first}-{period.last}.xlsx", XLSX)


class UsageFile(Page):
    """A period as CSV."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Answer the file. Raises Http404."""
        form = _asked(request)
        period, by = _period_of(form), By(form.cleaned_data["by"] or By.MATERIAL)
        customary = bool(form.cleaned_data["units"])
        table = usage_table(usage_rows(period, by), by, customary=customary, with_costs=sees_costs(request))
        content = "".join(csv_lines(table, byte_order_mark=True)).encode()
        return file_answer(content, f"usage-{by}-{period.first}-{period.last}.csv", "text/csv; charset=utf-8")


class UsagePostingsPage(Page):
    """The postings that a figure is the sum of."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/usage/postings.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form, material, column = _asked(self.request), material_at(self.kwargs), self.kwargs["column"]
        if column not in COLUMNS:
            raise Http404(f"Usage has no column {column}.")
        period = _period_of(form)
        found = postings_of_usage(period, material, column)
        return super().get_context_data(
            **{**kwargs, "material": material, "column": COLUMNS[column][0], "period": period},
            postings=found[:MOST_SHOWN],
            count=len(found),
            total=sum(micro for _, micro in found),
        )


class UsageMaterialPage(Page):
    """One material month by month: what was used, and what was lost, destroyed or missing."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/usage/material.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        material = material_at(self.kwargs)
        months = [(period, usage_of(period, [material])[0].columns) for period in months_until(brewery_day())]
        used = [(period, -columns["used"]) for period, columns in months]
        lost = [
            (period, -(columns["lost"] + columns["destroyed"] + min(0, columns["counted"])))
            for period, columns in months
        ]
        charts = [_chart("Used", material, used), _chart("Lost, destroyed and missing", material, lost)]
        rows = [(period, columns) for period, columns in reversed(months)]
        return super().get_context_data(**{**kwargs, "material": material}, charts=charts, months=rows, names=COLUMNS)


class UsageVariancePage(Page):
    """What was drawn for the brews of a period, beside what their sheets wanted."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/usage/variance.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = PeriodForm(self.request.GET if "first" in self.request.GET else _last_month())
        rows = variances(_period_of(form)) if form.is_valid() else []
        return super().get_context_data(**kwargs, filter_form=form, rows=rows, doubted_pct=DOUBTED_PCT)


def sees_costs(request: Any) -> bool:
    """Whether whoever asks may see what lots cost."""
    return bool(request.user.has_right(Right.KEEP_COSTS))


def material_at(kwargs: dict[str, Any]) -> Material:
    """Return the material that the address names. Raises Http404."""
    found = Material.objects.filter(pk=kwargs["material"]).first()
    if found is None:
        raise Http404(f"There is no material {kwargs['material']}.")
    return found


def _last_month() -> dict[str, str]:
    period = month_of(brewery_day()).before
    return {"first": period.first.isoformat(), "last": period.last.isoformat()}


def _asked(request: Any) -> UsageForm:
    form = UsageForm(request.GET)
    if not form.is_valid():
        raise Http404(f"Name the days in the address: {form.errors.as_text()}")
    return form


def _period_of(form: Any) -> Period:
    return Period(form.cleaned_data["first"], form.cleaned_data["last"])


def _shown(row: UsageRow, names: list[str], *, customary: bool) -> dict[str, Any]:
    unit = unit_of_row(row, customary=customary)

    def told(micro: int | None) -> str:
        return "" if micro is None else set_apart(str(quantity_in(micro, unit, row)))

    return {
        "row": row,
        "unit": unit,
        "opening": told(row.opening_micro),
        "columns": [(name, told(row.columns[name]) if row.columns[name] else "") for name in names],
        "closing": told(row.closing_micro),
        "cost": costs_of(row.worth),
        "without_cost": told(row.worth.without_cost_micro) if row.worth.without_cost_micro else "",
        "before": told(row.used_before_micro),
        "year_before": told(row.used_year_before_micro),
    }


def _chart(label: str, material: Material, months: list[tuple[Period, int]]) -> dict[str, Any]:
    labels, values = [f"{period.first:%Y-%m}" for period, _ in months], [micro / MICRO for _, micro in months]
    chart = Chart(label, material.base_unit, labels, values, things="months")
    # What is drawn is numbers and words of ours.
    return {"label": label, "svg": mark_safe(draw(chart))}  # noqa: S308
