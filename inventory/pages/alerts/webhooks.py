"""Webhooks: the addresses that are told of alerts, a new one, and one with what it was told."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.db.models import Count, Max, Q
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.writing import FormPage, FormShown, WritingForm
from brewery.kernel.templatetags.shell import moment_text
from inventory.models import Alert, Webhook, WebhookMessage
from inventory.services.alerts import alert_kinds
from inventory.services.webhooks import add_webhook, end_webhook, send_again

MOST_SHOWN = 100


def _kinds() -> list[tuple[str, str]]:
    return [(kind.name, kind.label) for kind in alert_kinds().values()]


class WebhookForm(WritingForm):
    """A new address."""

    address = forms.CharField(label="Address", max_length=500, help_text="It begins with https://.")
    least_severity = forms.TypedChoiceField(
        label="Told of what is at least", coerce=int, choices=Alert.Severity.choices, initial=Alert.Severity.NOTICE
    )
    kinds = forms.MultipleChoiceField(
        label="Kinds", required=False, choices=_kinds, help_text="None chosen is all.", widget=forms.SelectMultiple
    )


class WebhooksPage(FormShown):
    """The addresses; POST adds one and shows its secret, once."""

    right: ClassVar[Right] = Right.TEND_JOBS
    write_right: ClassVar[Right] = Right.TEND_JOBS
    template_name = "inventory/alerts/webhooks.html"
    form_class = WebhookForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        waiting = Count("messages", filter=Q(messages__sent_at=None))
        rows = Webhook.objects.annotate(waiting=waiting, last=Max("messages__sent_at"))
        return super().get_context_data(**kwargs, webhooks=rows.order_by("ended_at", "pk"))

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Add it. The secret is in this answer and nowhere else, so no other page follows."""
        form = self.new_form(request.POST)
        if form.is_valid():
            try:
                made = add_webhook(actor=self.person, **form.cleaned_data)
                return self.render_to_response(self.get_context_data(made=made))
            except DomainError as refused:
                form.refuse(refused)
        return self.render_to_response(self.get_context_data(form=form), status=400)


class WebhookStepForm(WritingForm):
    """One message to be sent again; without one the webhook ends."""

    message = forms.ModelChoiceField(
        queryset=WebhookMessage.objects.select_related("webhook"), required=False, widget=forms.HiddenInput
    )


class WebhookPage(FormPage):
    """One address and what it was told; POST sends a message again, or ends the webhook."""

    right: ClassVar[Right] = Right.TEND_JOBS
    write_right: ClassVar[Right] = Right.TEND_JOBS
    template_name = "inventory/alerts/webhook.html"
    form_class = WebhookStepForm

    @property
    def webhook(self) -> Webhook:
        """The webhook that the address names. Raises Http404."""
        found = Webhook.objects.filter(pk=self.kwargs["webhook"]).first()
        if found is None:
            raise Http404(f"There is no webhook {self.kwargs['webhook']}.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        webhook = self.webhook
        told = list(webhook.messages.select_related("alert")[:MOST_SHOWN])
        context = {**kwargs, "webhook": webhook, "facts": facts_of(webhook), "told": told}
        return super().get_context_data(**context)

    def write(self, form: Any) -> str:
        """Send it again, or end it."""
        message, request_id = form.cleaned_data["message"], form.cleaned_data["request_id"]
        if message:
            send_again(message=message, actor=self.person, request_id=request_id)
            messages.success(self.request, "It waits for its turn.")
        else:
            end_webhook(webhook=self.webhook, actor=self.person, request_id=request_id)
            messages.success(self.request, "It is told nothing more.")
        return reverse("webhook", args=[self.kwargs["webhook"]])


def facts_of(webhook: Webhook) -> list[Fact]:
    """Return what is known of an address, label by label."""
    labels = {name: kind.label for name, kind in alert_kinds().items()}
    kinds = ", ".join(labels.get(name, name) for name in webhook.kinds) or "all"
    facts = [
        Fact("Told of", f"“{Alert.Severity(webhook.least_severity).label}” and what is more pressing"),
        Fact("Kinds", kinds),
        Fact("Entered", moment_text(webhook.made_at)),
    ]
    return [*facts, Fact("Ended", moment_text(webhook.ended_at))] if webhook.ended_at else facts
