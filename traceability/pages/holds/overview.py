"""All holds, and one with its lots and the form that releases them."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.kernel.templatetags.shell import moment_text
from inventory.models import Lot
from traceability.models import Hold
from traceability.queries.holds import held_lots, holds
from traceability.services.holds import release_hold

MOST_SHOWN = 200


class HoldsPage(Page):
    """The holds, the newest first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/holds/overview.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**kwargs, holds=holds()[:MOST_SHOWN])


class ReleaseForm(WritingForm):
    """Which lots are released, and why."""

    lots = forms.ModelMultipleChoiceField(Lot.objects.all(), required=False, widget=forms.MultipleHiddenInput)
    everything = forms.BooleanField(label="All lots that are still under it", required=False)
    reason = forms.CharField(label="Why they are released", max_length=2000)

    def clean(self) -> dict[str, Any]:
        """Return what was ticked. Adds an error where nothing was, or both."""
        read = super().clean() or {}
        if bool(read.get("lots")) == bool(read.get("everything")):
            self.add_error("everything", "Tick lots in the table, or this for all of them: one of the two.")
        return read


class HoldPage(FormPage):
    """One hold: why, by whom, which lots, and the release."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.DECIDE
    template_name = "traceability/holds/hold.html"
    form_class = ReleaseForm

    @property
    def hold(self) -> Any:
        """The hold that the address names. Raises Http404."""
        found = holds().filter(pk=self.kwargs["hold"]).first()
        if found is None:
            raise Http404(f"There is no hold {self.kwargs['hold']}.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        hold = self.hold
        may_release = self.may_write and hold.lots_held > 0
        context = {**kwargs, "hold": hold, "facts": facts_of(hold), "held": held_lots(hold), "may_release": may_release}
        context["releases"] = hold.releases.select_related("actor")
        return super().get_context_data(**context)

    def write(self, form: Any) -> str:
        """Release them."""
        asked = form.cleaned_data
        lots = None if asked["everything"] else list(asked["lots"])
        release_hold(
            hold=self.hold, lots=lots, reason=asked["reason"], actor=self.person, request_id=asked["request_id"]
        )
        messages.success(self.request, "Released.")
        return reverse("hold", args=[self.kwargs["hold"]])


def facts_of(hold: Hold) -> list[Fact]:
    """Return what is known of a hold, label by label."""
    return [
        Fact("Why", hold.reason),
        Fact("Reference", hold.reference),
        Fact("Placed", moment_text(hold.placed_at)),
        Fact("By", hold.actor.get_full_name() or hold.actor.get_username()),
        Fact("Follows", hold.kinds_in_words),
    ]
