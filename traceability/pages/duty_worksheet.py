"""The worksheet of a duty period: the form's lines in their order, its checks, and the duty with how it was come by."""

from typing import Any, ClassVar

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.pages.access import Page
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.questions import Question
from brewery.science.duty.schemes import CAUTION, Worksheet
from brewery.science.ranges import OutOfRange
from traceability.pages.duty import period_at
from traceability.queries.duty_movements import worksheet_of


class FactsForm(forms.Form):
    """What the scheme asks of the brewer. What is left empty is not told, or is as the law assumes."""

    def __init__(self, questions: tuple[Question, ...], *data: Any) -> None:
        super().__init__(*data)
        for question in questions:
            self.fields[question.key] = _field(question)

    @property
    def facts(self) -> dict[str, Any]:
        """What was told."""
        return {key: told for key, told in self.cleaned_data.items() if told is not None}


class DutyWorksheetPage(Page):
    """One period as its authority asks for it."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/duty/worksheet.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        key, period = period_at(self.kwargs)
        scheme = SCHEMES[key]
        form = FactsForm(scheme.questions, self.request.GET or None)
        context = {**kwargs, "scheme": scheme, "period": period, "filter_form": form, "caution": CAUTION}
        if form.is_valid():
            try:
                context |= _told(worksheet_of(key, period, form.facts))
            except OutOfRange as missing:
                context["refused"] = str(missing)
        return super().get_context_data(**context)


def _told(sheet: Worksheet) -> dict[str, Any]:
    return {
        "sheet": sheet,
        "rows": [(line, [line.cells.get(column.key, "") for column in sheet.columns]) for line in sheet.lines],
        "parts": [(part, f"{float(part.quantity):.2f}", f"{float(part.amount):.4f}") for part in sheet.duty.parts],
    }


def _field(question: Question) -> forms.Field:
    if question.unit is None:
        return forms.BooleanField(label=question.words, required=False)
    assumed = question.default
    words = "" if assumed is None else f"{assumed} where nothing is told."
    label = f"{question.words} ({question.unit})"
    return forms.DecimalField(label=label, required=False, min_value=0, help_text=words)
