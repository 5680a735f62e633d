"""One alert: what it is, what people did about it, and the forms to say more."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import now
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.moments import MomentInput
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.kernel.templatetags.shell import moment_text
from inventory.models import Alert, AlertStep
from inventory.queries.alerts import alerts_with_steps
from inventory.services.alerts import heed_alert, label_of


class StepForm(WritingForm):
    """What is done about an alert."""

    kind = forms.ChoiceField(
        label="What",
        choices=[
            (AlertStep.Kind.ACKNOWLEDGED.value, "Seen: somebody is on it"),
            (AlertStep.Kind.SNOOZED.value, "Put off until a time"),
            (AlertStep.Kind.WOKEN.value, "No longer put off"),
        ],
        initial=AlertStep.Kind.ACKNOWLEDGED.value,
        widget=forms.RadioSelect,
    )
    until = forms.DateTimeField(label="Until", required=False, widget=MomentInput)
    note = forms.CharField(label="Note", required=False, max_length=300)


class AlertPage(FormPage):
    """One alert as it stands; POST says what is done about it."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.HEED
    template_name = "inventory/alerts/alert.html"
    form_class = StepForm

    @property
    def alert(self) -> Alert:
        """The alert that the address names. Raises Http404."""
        found = alerts_with_steps().filter(pk=self.kwargs["alert"]).first()
        if found is None:
            raise Http404(f"There is no alert {self.kwargs['alert']}.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        alert = self.alert
        context = {
            **kwargs,
            "alert": alert,
            "label": label_of(alert),
            "facts": facts_of(alert),
            "steps": alert.steps.all(),
            "may_write": self.may_write and alert.closed_at is None,
        }
        return super().get_context_data(**context)

    def write(self, form: Any) -> str:
        """Say it."""
        heed_alert(alert=self.alert, actor=self.person, **form.cleaned_data)
        messages.success(self.request, "Noted.")
        return reverse("alert", args=[self.kwargs["alert"]])


def facts_of(alert: Alert) -> list[Fact]:
    """Return what is known of an alert, label by label."""
    put_off = alert.closed_at is None and alert.snoozed_until and alert.snoozed_until > now()
    facts = [
        Fact("Alert", str(alert.pk)),
        Fact("Pressing", Alert.Severity(alert.severity).label),
        Fact("For", alert.owner),
        Fact("Since", moment_text(alert.opened_at)),
        Fact("Seen there last", moment_text(alert.seen_at)),
    ]
    if alert.closed_at:
        facts.append(Fact("Gone", moment_text(alert.closed_at)))
    if put_off and alert.snoozed_until:
        facts.append(Fact("Put off until", moment_text(alert.snoozed_until)))
    return facts
