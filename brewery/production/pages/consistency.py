"""Consistency of a beer: charts over its brews with limits, each with its table, and which lots changed."""

from typing import Any, ClassVar

from django import forms
from django.utils.safestring import mark_safe

from brewery.kernel.access import Right
from brewery.kernel.drawing.chart import Chart, Line, draw
from brewery.kernel.pages.access import Page
from brewery.production.models import Brew
from brewery.production.queries.consistency import Change, Series, changes_between, consistency_of
from inventory.models import Material


class ConsistencyForm(forms.Form):
    """Which beer, and which two of its brews are compared lot by lot."""

    beer = forms.ModelChoiceField(
        label="Beer", queryset=Material.objects.filter(kind=Material.Kind.BEER, brews__isnull=False).distinct()
    )
    before = forms.CharField(label="Lots of brew", required=False, max_length=20)
    after = forms.CharField(label="against brew", required=False, max_length=20)


class ConsistencyPage(Page):
    """The charts of one beer, and the lots of two of its brews."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "production/consistency.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = ConsistencyForm(self.request.GET or None)
        context: dict[str, Any] = {"filter_form": form, **kwargs}
        if form.is_valid():
            told = consistency_of(form.cleaned_data["beer"])
            codes = [brew.code for brew in told.brews]
            context |= {
                "beer": form.cleaned_data["beer"],
                "brews": told.brews,
                "charts": [chart_of(series, codes) for series in told.series],
                "changes": self._changes(form, told.changes),
            }
        return super().get_context_data(**context)

    def _changes(self, form: ConsistencyForm, changes: tuple[Change, ...]) -> list[Change]:
        """Return the change between the two brews that are named, or else all from one brew to the next."""
        named = [form.cleaned_data["before"], form.cleaned_data["after"]]
        if not all(named):
            return list(changes)
        brews = Brew.objects.filter(beer=form.cleaned_data["beer"]).select_related("location")
        found = {brew.code: brew for brew in brews.filter(code__in=named)}
        for name, code in zip(("before", "after"), named, strict=True):
            if code not in found:
                form.add_error(name, f"There is no brew {code} of this beer.")
        return [] if form.errors else [changes_between(*(found[code] for code in named))]


def chart_of(series: Series, codes: list[str]) -> dict[str, Any]:
    """Return a series with its chart of values, that of moving ranges where there are limits, and rows of a table."""
    limits = series.limits
    lines = (
        []
        if limits is None
        else [
            Line(limits.high, "upper limit", "limit"),
            Line(limits.mean, "mean", "mean"),
            Line(limits.low, "lower limit", "limit"),
        ]
    )
    outside = [series.is_out(place) for place in range(len(codes))]
    rows = zip(codes, series.values, series.compared or [None] * len(codes), series.ranges, outside, strict=True)
    chart = Chart(series.label, series.unit, codes, series.values, lines, series.compared, outside)
    return {
        "series": series,
        "has_values": any(value is not None for value in (*series.values, *series.compared)),
        # What is drawn is numbers of ours and codes that the drawing has escaped.
        "svg": mark_safe(draw(chart)),  # noqa: S308
        "ranges_svg": mark_safe(draw(_ranges(series, codes))) if limits else "",  # noqa: S308
        "rows": [
            {"code": code, "value": value, "compared": compared, "range": moved, "is_out": is_out}
            for code, value, compared, moved, is_out in rows
        ],
    }


def _ranges(series: Series, codes: list[str]) -> Chart:
    limits = series.limits
    lines = [Line(limits.most_range, "upper limit", "limit"), Line(limits.mean_range, "mean", "mean")] if limits else []
    outside = [bool(limits and moved is not None and moved > limits.most_range) for moved in series.ranges]
    return Chart(f"moving ranges of {series.label}", series.unit, codes, series.ranges, lines, (), outside)
