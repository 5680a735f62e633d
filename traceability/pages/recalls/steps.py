"""What is done in a recall: each step is one form, and leads back to the recall."""

from abc import abstractmethod
from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.science.typed import typed_micro
from brewery.science.units import UnitError
from inventory.models import Party
from traceability.models import Recall, RecallClass, RecallTask
from traceability.pages.recalls.overview import recall_at
from traceability.queries.recalls import view_of
from traceability.services.recalls import (
    ToldLot,
    add_task,
    check_customer,
    close_recall,
    decide_class,
    finish_task,
    write_note,
)


class ClassForm(WritingForm):
    """How grave the hazard is."""

    value = forms.ChoiceField(label="Class", choices=RecallClass.Class.choices, widget=forms.RadioSelect)
    reason = forms.CharField(label="Why", max_length=2000)


class NoteForm(WritingForm):
    """A note."""

    text = forms.CharField(label="Note", max_length=2000, widget=forms.Textarea(attrs={"rows": 4}))


class TaskForm(WritingForm):
    """A thing to be done."""

    words = forms.CharField(label="What is to be done", max_length=200)


class DoneForm(WritingForm):
    """How a task was done."""

    note = forms.CharField(label="Note", max_length=2000, required=False)


class EndForm(WritingForm):
    """Why it is closed, where something is open."""

    reason = forms.CharField(
        label="Why it is closed", max_length=2000, required=False, help_text="Needed where something is still open."
    )


class CheckForm(WritingForm):
    """Whether a customer was reached, and what it said of each lot that it got."""

    is_reached = forms.ChoiceField(
        label="Was somebody reached?", choices=[("yes", "Yes"), ("no", "No")], widget=forms.RadioSelect
    )
    spoke_with = forms.CharField(label="Spoke with", max_length=120, required=False)
    note = forms.CharField(label="Note", max_length=2000, required=False)

    def __init__(self, recall: Recall, customer: Party | None, *data: Any) -> None:
        super().__init__(*data)
        rows = [one for one in view_of(recall).customers if customer is None or one.customer == customer]
        parties = Party.objects.filter(pk__in=[one.customer.pk for one in rows])
        self.fields["customer"] = forms.ModelChoiceField(
            parties, label="Customer", to_field_name="code", initial=customer, empty_label=None
        )
        self.lots = {row.lot.pk: row.lot for one in rows if len(rows) == 1 for row in one.lots}
        for lot in self.lots.values():
            for name, words in (("holds", "still holds"), ("gone", "sold or used up")):
                label = f"Lot {lot.code}: {words}, in {lot.material.base_unit}"
                number = forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"})
                self.fields[f"{name}_{lot.pk}"] = forms.CharField(
                    label=label, required=False, max_length=60, widget=number
                )
        self.order_fields(["customer", "is_reached", "spoke_with"])

    def clean(self) -> dict[str, Any]:
        """Return what was typed with `told`, a ToldLot for each lot. Adds what is wrong beside its field."""
        read = super().clean() or {}
        read["told"] = [
            ToldLot(
                lot,
                self._micro(f"holds_{key}", lot.material.base_unit),
                self._micro(f"gone_{key}", lot.material.base_unit),
            )
            for key, lot in self.lots.items()
        ]
        return read

    def _micro(self, name: str, unit: str) -> int:
        try:
            return typed_micro(self.cleaned_data.get(name) or "0", unit)
        except UnitError as wrong:
            self.add_error(name, str(wrong))
            return 0


class RecallStep(FormPage, is_a_kind_of_page=True):
    """One form about one recall."""

    right: ClassVar[Right] = Right.DECIDE
    write_right: ClassVar[Right] = Right.DECIDE
    template_name = "traceability/recalls/step.html"
    words: ClassVar[Mapping[str, str]]

    @property
    def recall(self) -> Recall:
        """The recall that the address names. Raises Http404."""
        return recall_at(self.kwargs["recall"])

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        recall = self.recall
        title = f"{self.words['title']}: {recall}"
        words = {"title": title, "submit": self.words["submit"], "back": reverse("recall", args=[recall.pk])}
        return super().get_context_data(**kwargs, **words)

    def write(self, form: Any) -> str:
        """Write it and return to the recall."""
        recall = self.recall
        asked = {name: form.cleaned_data[name] for name in form.cleaned_data if name != "request_id"}
        self.record(recall, asked, {"actor": self.person, "request_id": form.cleaned_data["request_id"]})
        return reverse("recall", args=[recall.pk])

    @abstractmethod
    def record(self, recall: Recall, asked: dict[str, Any], by: dict[str, Any]) -> None:
        """Call the service."""


class ClassStep(RecallStep):
    """People decide how grave the hazard is."""

    right = write_right = Right.DECIDE
    form_class = ClassForm
    words = {"title": "Class of the hazard", "submit": "Decide"}

    def record(self, recall: Recall, asked: dict[str, Any], by: dict[str, Any]) -> None:
        """Decide it."""
        decide_class(recall=recall, **asked, **by)


class NoteStep(RecallStep):
    """A note."""

    right = write_right = Right.DECIDE
    form_class = NoteForm
    words = {"title": "Note", "submit": "Write it down"}

    def record(self, recall: Recall, asked: dict[str, Any], by: dict[str, Any]) -> None:
        """Write it."""
        write_note(recall=recall, **asked, **by)


class TaskStep(RecallStep):
    """A thing to be done."""

    right = write_right = Right.DECIDE
    form_class = TaskForm
    words = {"title": "Task", "submit": "Add it"}

    def record(self, recall: Recall, asked: dict[str, Any], by: dict[str, Any]) -> None:
        """Add it."""
        add_task(recall=recall, **asked, **by)


class EndStep(RecallStep):
    """The recall is closed."""

    right = write_right = Right.DECIDE
    form_class = EndForm
    words = {"title": "Close", "submit": "Close it"}

    def record(self, recall: Recall, asked: dict[str, Any], by: dict[str, Any]) -> None:
        """Close it."""
        close_recall(recall=recall, **asked, **by)


class CheckStep(RecallStep):
    """A customer is rung up; the address names which, or the form asks."""

    right = write_right = Right.DECIDE
    words = {"title": "Customer", "submit": "Write it down"}

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form with the lots of the customer."""
        customer = Party.objects.filter(code=self.request.GET.get("customer", "")).first()
        return CheckForm(self.recall, customer, *data[:1])

    def record(self, recall: Recall, asked: dict[str, Any], by: dict[str, Any]) -> None:
        """Record it."""
        check_customer(
            recall=recall,
            customer=asked["customer"],
            is_reached=asked["is_reached"] == "yes",
            spoke_with=asked["spoke_with"],
            note=asked["note"],
            lots=asked["told"],
            **by,
        )


class DoneStep(RecallStep):
    """A task is done."""

    right = write_right = Right.DECIDE
    form_class = DoneForm
    words = {"title": "Done", "submit": "It is done"}

    @property
    def task(self) -> RecallTask:
        """The task that the address names. Raises Http404."""
        found = RecallTask.objects.select_related("recall").filter(pk=self.kwargs["task"]).first()
        if found is None:
            raise Http404(f"There is no task {self.kwargs['task']}.")
        return found

    @property
    def recall(self) -> Recall:
        """The task's recall."""
        return self.task.recall

    def record(self, recall: Recall, asked: dict[str, Any], by: dict[str, Any]) -> None:
        """Record it."""
        finish_task(task=self.task, **asked, **by)
