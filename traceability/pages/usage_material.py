"""Usage of one material: month by month, and the postings that a figure is the sum of."""

from collections.abc import Iterator, Sequence
from typing import Any, ClassVar

from django import forms
from django.http import Http404
from django.urls import reverse
from django.utils.safestring import mark_safe

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.drawing.chart import Chart, draw
from brewery.kernel.pages.access import Page
from brewery.kernel.templatetags.shell import exact_quantity, percent
from brewery.science.units import MICRO
from inventory.models import Material
from inventory.queries.usage import COLUMNS, NET
from traceability.pages.usage import PAGE, Asked, UsageForm, form_of_address, sees_costs
from traceability.queries.duty_overview import months_until
from traceability.queries.usage_months import Month, months_of_usage
from traceability.queries.usage_postings import FIGURES, NET_USE, Figure
from traceability.queries.usage_tables import costs_of


class FigureForm(UsageForm):
    """Which part of a material, and which page of its postings."""

    key = forms.CharField(required=False, strip=False)
    page = forms.IntegerField(required=False, min_value=1, max_value=10**6)


class UsagePostingsPage(Page):
    """The postings that a figure is the sum of, a page at a time."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/usage/postings.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form, material, column = (
            form_of_address(FigureForm, self.request),
            material_at(self.kwargs),
            self.kwargs["column"],
        )
        if column not in FIGURES:
            raise Http404(f"Usage has no column {column}.")
        asked, key, number = Asked.by_form(form), form.cleaned_data["key"], form.cleaned_data["page"] or 1
        figure = Figure(asked.period, material, column, asked.by, key)
        rows = figure.postings((number - 1) * PAGE, PAGE)
        costs = column in (NET_USE, *NET) and sees_costs(self.request)
        return super().get_context_data(
            **{**kwargs, "material": material, "column": figure.words, "key": key, "period": asked.period},
            unit=asked.units.of(material),
            rows=[
                (one.posting, asked.told(one.micro, material), asked.told(one.so_far_micro, material)) for one in rows
            ],
            count=figure.count,
            total=asked.told(figure.total_micro, material),
            cost=costs_of(figure.cost.negative) if costs else "",
            asked=asked.query(),
            previous_url=f"?{asked.query(key=key, page=str(number - 1))}" if number > 1 else None,
            next_url=f"?{asked.query(key=key, page=str(number + 1))}" if number * PAGE < figure.count else None,
        )


class UsageMaterialPage(Page):
    """One material month by month: what was used, and what was lost, destroyed or missing."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/usage/material.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        material = material_at(self.kwargs)
        months = months_of_usage(material, months_until(brewery_day()))
        charts = [
            _chart("Used", material, months, [month.used_micro for month in months]),
            _chart("Lost, destroyed and missing", material, months, [month.lost_micro for month in months]),
        ]
        return super().get_context_data(
            **{**kwargs, "material": material},
            charts=charts,
            said=list(in_words(material, months)),
            months=[(month.period, _cells(material, month)) for month in reversed(months)],
            names=COLUMNS,
        )


def material_at(kwargs: dict[str, Any]) -> Material:
    """Return the material that the address names. Raises Http404."""
    found = Material.objects.filter(pk=kwargs["material"]).first()
    if found is None:
        raise Http404(f"There is no material {kwargs['material']}.")
    return found


def in_words(material: Material, months: Sequence[Month]) -> Iterator[str]:
    """Yield what the charts show: the last whole month beside the one before it, the most, and the losses."""
    unit = material.base_unit
    *_, before, last, this = months
    most, lost = max(months, key=lambda month: month.used_micro), sum(month.lost_micro for month in months)
    used = sum(month.used_micro for month in months)
    yield (
        f"In {_name(last)} {exact_quantity(last.used_micro, unit)} were used"
        f"{_beside(last, before)}; in {_name(this)} so far {exact_quantity(this.used_micro, unit)}."
    )
    if most.used_micro > 0:
        yield f"Most was used in {_name(most)}: {exact_quantity(most.used_micro, unit)}."
    share = f", {percent(100 * lost / used)} of what was used" if lost and used > 0 else ""
    yield f"Lost, destroyed and missing in all these months: {exact_quantity(lost, unit)}{share}."


def _beside(last: Month, before: Month) -> str:
    if before.used_micro <= 0:
        return ""
    more = 100 * (last.used_micro - before.used_micro) / before.used_micro
    return f", {percent(abs(more))} {'more' if more >= 0 else 'less'} than in {_name(before)}"


def _name(month: Month) -> str:
    return f"{month.period.first:%B %Y}"


def _cells(material: Material, month: Month) -> list[tuple[int, str]]:
    """Return each column of a month with the address of its postings."""
    days = f"first={month.period.first}&last={month.period.last}"
    return [
        (micro, f"{reverse('usage-postings', args=[material.pk, name])}?{days}")
        for name, micro in month.columns.items()
    ]


def _chart(label: str, material: Material, months: Sequence[Month], micros: Sequence[int]) -> dict[str, Any]:
    labels, values = [f"{month.period.first:%Y-%m}" for month in months], [micro / MICRO for micro in micros]
    chart = Chart(label, material.base_unit, labels, values, things="months")
    # What is drawn is numbers and words of ours.
    return {"label": label, "svg": mark_safe(draw(chart))}  # noqa: S308
