"""All recalls, a new one, and one as it stands."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.moments import MomentInput
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage
from brewery.kernel.templatetags.shell import moment_text
from traceability.models import Recall
from traceability.pages.holds.asking import EVERY_KIND, KINDS, LotCodesField
from traceability.queries.recalls import CAUTION, RecallView, recalls, view_of, window_in_words
from traceability.services.recalls import open_recall

MOST_SHOWN = 200


class RecallsPage(WritingPage):
    """Recalls and past drills, the newest first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.DECIDE
    template_name = "traceability/recalls/overview.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        rows = list(recalls()[:MOST_SHOWN])
        groups = [
            {"name": "Recalls", "rows": [row for row in rows if not row.is_mock]},
            {"name": "Mock recalls", "rows": [row for row in rows if row.is_mock]},
        ]
        return super().get_context_data(**kwargs, groups=groups, may_write=self.may_write)


class NewRecallForm(WritingForm):
    """From which lots, for which hazard, and whether it is a drill."""

    lots = LotCodesField(label="Lots", help_text="Their codes, with a space between.")
    hazard = forms.CharField(label="Hazard", max_length=2000, help_text="What is or may be wrong with it.")
    kind = forms.ChoiceField(
        label="In earnest?",
        choices=[("real", "A recall: the lots and all that comes of them are held at once"), ("mock", "A drill")],
        widget=forms.RadioSelect,
    )
    follow = forms.MultipleChoiceField(
        label="Follow", choices=KINDS, initial=EVERY_KIND, widget=forms.CheckboxSelectMultiple
    )
    made_from = forms.DateTimeField(
        label="Made from",
        required=False,
        widget=MomentInput,
        help_text="Leave both empty to recall it all. What is held is everything, whenever it was made.",
    )
    made_until = forms.DateTimeField(label="Made until", required=False, widget=MomentInput)


class NewRecallPage(FormPage):
    """The form that opens a recall; from a lot's page its lot stands in it."""

    right: ClassVar[Right] = Right.DECIDE
    write_right: ClassVar[Right] = Right.DECIDE
    template_name = "traceability/recalls/step.html"

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form, with the lots that the address names."""
        return NewRecallForm(*data, initial={"lots": self.request.GET.get("lots", "")})

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        words = {"title": "Open a recall", "submit": "Open it", "back": reverse("recalls"), "caution": CAUTION}
        return super().get_context_data(**kwargs, **words)

    def write(self, form: Any) -> str:
        """Open it."""
        asked = form.cleaned_data
        recall = open_recall(
            lots=asked["lots"],
            hazard=asked["hazard"],
            is_mock=asked["kind"] == "mock",
            follow=asked["follow"],
            made_from=asked["made_from"],
            made_until=asked["made_until"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        messages.success(self.request, f"{str(recall).capitalize()} is open; the clock runs.")
        return reverse("recall", args=[recall.pk])


class RecallPage(WritingPage):
    """One recall as it stands now."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.DECIDE
    template_name = "traceability/recalls/recall.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        view = view_of(recall_at(self.kwargs["recall"]))
        recall = view.recall
        context = {
            **kwargs,
            "view": view,
            "recall": recall,
            "facts": facts_of(view),
            "caution": CAUTION,
            "closing": getattr(recall, "closing", None),
            "tasks": recall.tasks.select_related("done__actor"),
            "notes": recall.notes.select_related("actor"),
            "checks": recall.checks.select_related("actor", "customer"),
            "may_write": self.may_write,
        }
        return super().get_context_data(**context)


def recall_at(number: int) -> Recall:
    """Return the recall of that number. Raises Http404."""
    found = recalls().filter(pk=number).first()
    if found is None:
        raise Http404(f"There is no recall {number}.")
    return found


def facts_of(view: RecallView) -> list[Fact]:
    """Return what is known of a recall, label by label."""
    recall = view.recall
    judged = recall.classes.last()
    facts = [
        Fact("Hazard", recall.hazard),
        Fact("Class", str(judged) if judged else "nobody has decided it yet"),
        Fact("From lots", ", ".join(subject.lot.code for subject in recall.subjects.all())),
        Fact("Follows", recall.kinds_in_words),
        Fact("Opened", moment_text(recall.written_at)),
        Fact("By", recall.actor.get_full_name() or recall.actor.get_username()),
        Fact("Time taken" if hasattr(recall, "closing") else "Open for", view.elapsed_words),
    ]
    if window := window_in_words(recall):
        facts.append(Fact("Of what was made", window))
    if recall.drawn_from:
        facts.append(Fact("Drawn", f"by lot, one of {recall.drawn_from}"))
    if recall.hold:
        facts.append(Fact("Hold", str(recall.hold), reverse("hold", args=[recall.hold.pk])))
    return facts
