"""The worksheet of a duty period: the form's lines in their order, its checks, and the duty with how it was come by."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.questions import Question
from brewery.science.duty.schemes import CAUTION
from traceability.pages.duty import period_at
from traceability.queries.duty_periods import standing_closing
from traceability.queries.duty_rates import facts_on
from traceability.queries.duty_worksheets import worksheet_as_data
from traceability.services.duty_rates import tell_facts


class FactsForm(WritingForm):
    """What the scheme asks of the brewer. What is left empty is not told, or is as the law assumes."""

    def __init__(self, questions: tuple[Question, ...], *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for question in questions:
            self.fields[question.key] = _field(question)

    @property
    def facts(self) -> dict[str, Any]:
        """What was told."""
        return {key: told for key, told in self.cleaned_data.items() if told is not None and key != "request_id"}


class DutyWorksheetPage(FormPage):
    """One period as its authority asks for it, by the answers that are kept; of a closed one, as it was kept then."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.KEEP_DUTY
    template_name = "traceability/duty/worksheet.html"

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form with the answers that hold in the period."""
        key, period = period_at(self.kwargs)
        questions = SCHEMES[key].questions
        return FactsForm(questions, *data) if data else FactsForm(questions, initial=facts_on(key, period.first))

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        key, period = period_at(self.kwargs)
        closing = standing_closing(key, period)
        told = (closing and closing.record.get("worksheet")) or worksheet_as_data(key, period)
        context = {**kwargs, **told, "scheme": SCHEMES[key], "period": period, "caution": CAUTION}
        answers = [(one.words, _answer(told["facts"].get(one.key))) for one in SCHEMES[key].questions]
        rows = rows_of(told["sheet"])
        return super().get_context_data(
            **context, rows=rows, answers=answers, closing=closing, may_write=self.may_write and not closing
        )

    def write(self, form: Any) -> str:
        """Keep the answers, from the period on."""
        key, period = period_at(self.kwargs)
        asked = {"actor": self.person, "request_id": form.cleaned_data["request_id"]}
        tell_facts(scheme=key, since=period.first, facts=form.facts, **asked)
        messages.success(self.request, f"The answers are kept from {period.first} on.")
        return reverse("duty-worksheet", args=[key, period.first, period.last])


def rows_of(sheet: dict[str, Any] | None) -> list[tuple[dict[str, Any], list[str]]]:
    """Return each line of a worksheet with its cells in the order of the columns."""
    if sheet is None:
        return []
    keys = [column["key"] for column in sheet["columns"]]
    return [(line, [line["cells"].get(key, "") for key in keys]) for line in sheet["lines"]]


def _answer(told: str | bool | None) -> str:
    return "not answered" if told is None else {True: "yes", False: "no"}[told] if isinstance(told, bool) else told


def _field(question: Question) -> forms.Field:
    if question.unit is None:
        return forms.BooleanField(label=question.words, required=False)
    assumed = question.default
    words = "" if assumed is None else f"{assumed} where nothing is told."
    label = f"{question.words} ({question.unit})"
    return forms.DecimalField(label=label, required=False, min_value=0, help_text=words)
