"""The duty record: its periods, one period line by line down to the postings, and closing it."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.safestring import mark_safe

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.drawing.chart import Chart, draw
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.files import file_answer
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.kernel.services.spreadsheets import XLSX, book_bytes
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.schemes import CAUTION, LateEntry
from inventory.queries.usage import Period
from traceability.models import DutyClosing
from traceability.printing.duty_sheets import period_as_pdf
from traceability.queries.duty_archive import archive_name, archive_of
from traceability.queries.duty_containers import container_words
from traceability.queries.duty_lines import LINES, LOSSES, REMOVALS
from traceability.queries.duty_overview import comparison, months_until, months_with_record
from traceability.queries.duty_periods import (
    late_postings,
    missing_for,
    proposed_period,
    record_under,
    standing_closing,
)
from traceability.queries.duty_record import litres, postings_of
from traceability.queries.duty_stocktake import stock_as_data, stock_taken
from traceability.queries.duty_tables import record_tables
from traceability.services.duty_periods import amend_period, close_period, refuse_no_period

MOST_SHOWN = 500


class SchemeForm(forms.Form):
    """Under which scheme."""

    scheme = forms.ChoiceField(label="Scheme", choices=[(key, one.name) for key, one in SCHEMES.items()])


class DutyPage(Page):
    """The periods, with what was removed and lost in each month of the last year."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/duty/overview.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = SchemeForm(self.request.GET or {"scheme": usual_scheme()})
        scheme = form.cleaned_data["scheme"] if form.is_valid() else usual_scheme()
        closings = DutyClosing.objects.filter(scheme=scheme).select_related("actor", "seal")
        months = months_with_record(months_until(brewery_day()))
        return super().get_context_data(
            **kwargs,
            filter_form=form,
            scheme=SCHEMES[scheme],
            closings=closings,
            proposed=proposed_period(scheme, SCHEMES[scheme].period_kinds[0], brewery_day()),
            charts=[chart_of("Removed", months, REMOVALS), chart_of("Lost, destroyed and short", months, LOSSES)],
            months=[(period, *_sums(lines)) for period, lines in reversed(months)],
            caution=CAUTION,
        )


class CloseForm(WritingForm):
    """Nothing but the wish to close."""

    names = {"first": "", "scheme": ""}


class AmendForm(WritingForm):
    """Why a closed period is kept anew."""

    closing = forms.ModelChoiceField(queryset=DutyClosing.objects.all(), widget=forms.HiddenInput)
    reason = forms.CharField(label="Why it is amended", max_length=400)


class DutyPeriodPage(FormPage):
    """One period: every line in order, beside the period before and the year before.

    The form closes it, or amends it where entries came late and the scheme takes amendments.
    """

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.KEEP_DUTY
    template_name = "traceability/duty/period.html"

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form that closes the period, or that amends it; what was sent says which it is."""
        if data:
            return AmendForm(*data) if "reason" in self.request.POST else CloseForm(*data)
        closing = standing_closing(*period_at(self.kwargs))
        return AmendForm(initial={"closing": closing}) if closing else CloseForm()

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        scheme, period = period_at(self.kwargs)
        rows, closing = record_under(scheme, period), standing_closing(scheme, period)
        missing = [] if closing else missing_for(scheme, period)
        late = list(late_postings(closing)[:MOST_SHOWN]) if closing else []
        amends = SCHEMES[scheme].late_entry is LateEntry.AMENDMENT
        context = {
            **kwargs,
            "scheme": SCHEMES[scheme],
            "period": period,
            "closing": closing,
            "late": late,
            "may_amend": self.may_write and late and amends,
            "rows": [_shown(row) for row in rows],
            "lines": comparison(scheme, period, rows, closing.record if closing else None),
            **_stock(closing.record.get("stock", []) if closing else stock_as_data(stock_taken(period))),
            "missing": missing,
            "may_close": self.may_write and not closing and not any(one.must for one in missing),
            "due_on": SCHEMES[scheme].due_on(period.last),
            "caution": CAUTION,
        }
        return super().get_context_data(**context)

    def write(self, form: Any) -> str:
        """Close it, or amend it."""
        scheme, period = period_at(self.kwargs)
        is_amended = isinstance(form, AmendForm)
        if is_amended:
            amend_period(actor=self.person, **form.cleaned_data)
        else:
            days = {"first": period.first, "last": period.last}
            close_period(scheme=scheme, **days, actor=self.person, request_id=form.cleaned_data["request_id"])
        messages.success(self.request, f"{period} is {'amended' if is_amended else 'closed'}.")
        return reverse("duty-period", args=[scheme, period.first, period.last])


class DutyPostingsPage(Page):
    """The postings that a line of a period is the sum of."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/duty/postings.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        scheme, period = period_at(self.kwargs)
        line = self.kwargs["line"]
        if line not in LINES:
            raise Http404(f"The duty record has no line {line}.")
        found = postings_of(period, line, self.request.GET.get("product", ""))
        return super().get_context_data(
            **{**kwargs, "line": LINES[line], "scheme": SCHEMES[scheme]},
            period=period,
            postings=[(posting, litres(pico)) for posting, pico in found[:MOST_SHOWN]],
            count=len(found),
            total=litres(sum(pico for _, pico in found)),
        )


class DutyBook(Page):
    """A period as a workbook, as it is known now."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Answer the workbook. Raises Http404."""
        scheme, period = period_at(kwargs)
        content = book_bytes(record_tables(SCHEMES[scheme].name, period, record_under(scheme, period)))
        return file_answer(content, f"duty-{scheme}-{period.first}-{period.last}.xlsx", XLSX)


class DutyPaper(Page):
    """A period with its worksheet as PDF."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Answer the PDF. Raises Http404."""
        scheme, period = period_at(kwargs)
        name = f"duty-{scheme}-{period.first}-{period.last}.pdf"
        return file_answer(period_as_pdf(scheme, period), name, "application/pdf")


class DutyArchiveFile(Page):
    """The archive of a closing."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Answer the archive. Raises Http404."""
        closing = DutyClosing.objects.select_related("actor", "seal").filter(pk=kwargs["closing"]).first()
        if closing is None:
            raise Http404(f"There is no closing {kwargs['closing']}.")
        return file_answer(archive_of(closing), f"{archive_name(closing)}.zip", "application/zip")


def usual_scheme() -> str:
    """Return the scheme under which a period was closed last; where none ever was, the first there is."""
    last = DutyClosing.objects.order_by("-pk").values_list("scheme", flat=True).first()
    return last if last and last in SCHEMES else next(iter(SCHEMES))


def period_at(kwargs: dict[str, Any]) -> tuple[str, Period]:
    """Return the scheme and the period that the address names. Raises Http404."""
    try:
        period = Period(date.fromisoformat(kwargs["first"]), date.fromisoformat(kwargs["last"]))
        refuse_no_period(kwargs["scheme"], period)
    except (ValueError, DomainError) as wrong:
        raise Http404(str(wrong)) from wrong
    return kwargs["scheme"], period


def chart_of(label: str, months: list[tuple[Period, dict[str, int]]], names: tuple[str, ...]) -> Any:
    """Return the chart of the hectolitres of some lines by month."""
    values = [float(-_sum(lines, names) / 100) for _, lines in months]
    chart = Chart(
        label,
        "hL",
        [f"{period.first:%Y-%m}" for period, _ in months],
        values,
        things="months",
    )
    # What is drawn is numbers and words of ours.
    return {"label": label, "svg": mark_safe(draw(chart))}  # noqa: S308


def _sums(lines: dict[str, int]) -> tuple[str, str]:
    return f"{-_sum(lines, REMOVALS):f}", f"{-_sum(lines, LOSSES):f}"


def _sum(lines: dict[str, int], names: tuple[str, ...]) -> Decimal:
    return Decimal(litres(sum(lines[name] for name in names)))


def _stock(taken: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Return what was counted, each with its moment, and the sums where any was."""
    names = ("book_l", "counted_l", "difference_l")
    sums = (
        [f"{sum((Decimal(one[name] or 0) for one in taken), Decimal(0)).normalize():f}" for name in names]
        if taken
        else []
    )
    return {
        "stock": [{**one, "moment": datetime.fromisoformat(one["counted_at"])} for one in taken],
        "stock_sums": sums,
    }


def _shown(row: Any) -> dict[str, Any]:
    beer = row.beer
    contents = litres(beer.contents_micro * 10**6) if beer.contents_micro else None
    moved = [(words, name, litres(row.lines[name])) for name, words in LINES.items() if row.lines.get(name)]
    late = litres(sum(row.late.values()))
    return {
        "beer": beer,
        "container": container_words(beer.container, contents),
        "opening": litres(row.opening_pico),
        "late": late,
        "moved": moved,
        "closing": litres(row.closing_pico),
    }
