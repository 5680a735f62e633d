"""The pages that show brew sheets: all of them by beer, one for a length and a day, two side by side, one on paper."""

from typing import Any, ClassVar

from django import forms
from django.http import HttpRequest, HttpResponse
from django.utils.http import content_disposition_header

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.writing import WritingPage
from brewery.kernel.templatetags.shell import moment_text
from brewery.production.models import BrewSheet
from brewery.production.pages.sheets.fields import AmountField
from brewery.production.pages.sheets.named import sheet_or_404
from brewery.production.pages.sheets.steps import StepForm
from brewery.production.printing.sheets import HEAD, sheet_as_pdf
from brewery.production.queries.sheet_comparison import differences
from brewery.production.queries.sheet_contents import content_of
from brewery.production.queries.sheet_figures import Prediction
from brewery.production.queries.sheet_view import SheetView, view_of
from brewery.production.queries.sheet_words import LABELS, headline, said, share, timing, to_weigh, words_of
from brewery.production.queries.sheets import sheets, sheets_of_beer


class LengthForm(forms.Form):
    """For how much cold wort, and on which day."""

    cold_wort = AmountField("L", "hL", label="Cold wort, hL", required=False)
    on = forms.DateField(label="On", required=False, widget=DayInput)

    def clean_cold_wort(self) -> int | None:
        """Return the length. Raises ValidationError for none at all."""
        micro: int | None = self.cleaned_data["cold_wort"]
        if micro == 0:
            raise forms.ValidationError("Give more than 0.")
        return micro


class SheetsPage(WritingPage):
    """All brew sheets, by beer, the newest version first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.BREW
    template_name = "production/sheets/list.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        rows = sheets().order_by("beer__name", "beer", "-version")
        return super().get_context_data(rows=rows, may_write=self.may_write, **kwargs)


class SheetPage(WritingPage):
    """One sheet for a length and a day: what to weigh, what to do, what to expect and why."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.BREW
    template_name = "production/sheets/sheet.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        sheet, length = sheet_or_404(self.kwargs["sheet"]), LengthForm(self.request.GET or None)
        view = view_asked(sheet, length)
        context = {
            **kwargs,
            **shown(view),
            "sheet": sheet,
            "length": length if length.is_bound else LengthForm(initial={"on": brewery_day()}),
            "asked": self.request.GET.urlencode(),
            "others": sheets_of_beer(sheet.beer).exclude(pk=sheet.pk),
            "step": StepForm(initial={"revision": sheet.revision}, auto_id=""),
            "may_write": self.may_write,
        }
        return super().get_context_data(**context)


class ComparisonPage(Page):
    """Two sheets side by side."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "production/sheets/comparison.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        other = self.request.GET.get("other", "")
        sheet, with_ = sheet_or_404(self.kwargs["sheet"]), sheet_or_404(int(other) if other.isdecimal() else 0)
        rows = differences(content_of(sheet), content_of(with_))
        return super().get_context_data(**{**kwargs, "sheet": sheet, "other": with_, "rows": rows})


class SheetPrint(Page):
    """A sheet for a length and a day, on paper."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Answer the PDF."""
        sheet = sheet_or_404(kwargs["sheet"])
        pdf = sheet_as_pdf(view_asked(sheet, LengthForm(request.GET)))
        name = content_disposition_header(False, f"{sheet.beer.code}-{sheet.version}.pdf") or "inline"
        return HttpResponse(pdf, content_type="application/pdf", headers={"Content-Disposition": name})


def view_asked(sheet: BrewSheet, length: LengthForm) -> SheetView:
    """Return the sheet for what was asked; for its own length and today where that cannot be read."""
    asked = length.cleaned_data if length.is_valid() else {}
    return view_of(sheet, asked.get("on") or brewery_day(), asked.get("cold_wort"))


def shown(view: SheetView) -> dict[str, Any]:
    """Return what the page shows of a sheet for a length and a day."""
    content = view.content
    return {
        "day": view.day,
        "facts": _facts(view),
        "grains": [
            (
                grain.line.material,
                share(grain.line),
                grain.weight_micro,
            )
            for grain in view.grains
        ],
        "salts": [(headline(salt), words_of(salt)) for salt in content.salts],
        "mash": [(headline(step), words_of(step)) for step in content.mash_steps],
        "hops": [
            (
                headline(dose.line),
                timing(dose.line),
                "" if dose.weight_micro is None else to_weigh(dose.weight_micro),
                dose.reason,
            )
            for dose in view.doses
        ],
        "cellar": [(headline(step), words_of(step)) for step in content.cellar_steps],
        "figures": [_figure(told) for told in view.predictions],
        "doubts": [doubt.words for doubt in view.doubts],
        "note": content.note,
    }


def _facts(view: SheetView) -> list[Fact]:
    content, sheet = view.content, view.sheet
    facts = [Fact("State", sheet.get_state_display())]
    facts += [Fact(LABELS[name], words) for name in HEAD if (words := said(name, getattr(content, name)))]
    if content.formats:
        facts.append(Fact("Filled as", ", ".join(str(one) for one in content.formats)))
    person = sheet.written_by.get_full_name() or sheet.written_by.get_username()
    return [*facts, Fact("Written", f"{moment_text(sheet.written_at)}, by {person}")]


def _figure(told: Prediction) -> dict[str, str]:
    unit = f" {told.unit}"
    between = "" if told.low is None or told.high is None else f"{told.low:.3g} to {told.high:.3g}{unit}"
    return {
        "label": told.label,
        "value": "not known" if told.value is None else f"{told.value:.4g}{unit}",
        "between": between,
        "target": "" if told.target is None else f"{told.target:g}{unit}",
        "reason": told.reason,
    }
