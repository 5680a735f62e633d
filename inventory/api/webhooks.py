"""Webhooks over the API: which addresses are told of alerts, and what each was told."""

from typing import Any, ClassVar

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import TextField
from brewery.kernel.api.views import Recording, RecordList
from inventory.api.alerts import SEVERITIES
from inventory.models import Webhook, WebhookMessage
from inventory.services.alerts import alert_kinds
from inventory.services.webhooks import add_webhook, end_webhook, send_again

BY_WORD = {word: severity for severity, word in SEVERITIES.items()}


class WebhookAnswer(serializers.ModelSerializer[Webhook]):
    """One address, and what it is told of."""

    severity = serializers.SerializerMethodField()
    kinds = serializers.ListField(child=serializers.CharField())

    class Meta:
        model = Webhook
        fields = ("id", "address", "kinds", "severity", "made_at", "ended_at")

    @extend_schema_field(serializers.ChoiceField(choices=list(BY_WORD)))
    def get_severity(self, webhook: Webhook) -> str:
        return next(word for word, severity in BY_WORD.items() if severity == webhook.least_severity)


class NewWebhookAnswer(WebhookAnswer):
    """A new address with its secret, which is shown here and nowhere else."""

    class Meta:
        model = Webhook
        fields: tuple[str, ...] = (*WebhookAnswer.Meta.fields, "secret")


class WebhookAsked(serializers.Serializer[Any]):
    """Which address is to be told of alerts of at least that severity: of all kinds where none is named."""

    address = TextField(max_length=500)
    kinds = serializers.ListField(child=TextField(max_length=40), required=False, default=list, max_length=100)
    severity = serializers.ChoiceField(choices=list(BY_WORD), required=False, default="notice")

    def validate_kinds(self, kinds: list[str]) -> list[str]:
        """Return the kinds. Raises ValidationError for one that is not there."""
        unknown = sorted(set(kinds) - set(alert_kinds()))
        if unknown:
            known = ", ".join(sorted(alert_kinds()))
            raise serializers.ValidationError(f"There is no kind {unknown[0]}: write some of {known}.")
        return kinds


class Webhooks(RecordList, Recording[Webhook]):
    """The addresses that are told of alerts; POST adds one."""

    right: ClassVar[Right] = Right.TEND_JOBS
    queryset = Webhook.objects.all()
    serializer_class = WebhookAnswer
    asked = WebhookAsked
    answered = NewWebhookAnswer

    def record(self, **asked: Any) -> Webhook:
        """Add it."""
        return add_webhook(least_severity=BY_WORD[asked.pop("severity")], **asked)


@extend_schema_field({"type": "integer", "minimum": 1})
class WebhookField(serializers.PrimaryKeyRelatedField[Webhook]):
    """A webhook by its number."""

    default_error_messages = {"does_not_exist": "There is no webhook of this number: look it up in the list."}

    def get_queryset(self) -> QuerySet[Webhook]:
        """Return all of them."""
        return Webhook.objects.all()


class WebhookEndingAsked(serializers.Serializer[Any]):
    """Which address is told nothing more."""

    webhook = WebhookField(pk_field=serializers.IntegerField(min_value=1, max_value=2**63 - 1))


class WebhookEndings(Recording[Webhook]):
    """POST: an address is told nothing more."""

    right: ClassVar[Right] = Right.TEND_JOBS
    asked = WebhookEndingAsked
    answered = WebhookAnswer

    def record(self, **asked: Any) -> Webhook:
        """End it."""
        return end_webhook(**asked)


class WebhookMessageAnswer(serializers.ModelSerializer[WebhookMessage]):
    """What one address was told of one alert; not sent yet while `sent_at` is null."""

    event = serializers.CharField()

    class Meta:
        model = WebhookMessage
        fields = ("id", "webhook", "alert", "event", "written_at", "sent_at", "answer")


class WebhookMessageFilters(django_filters.FilterSet):
    """Narrows the list."""

    webhook = django_filters.NumberFilter(field_name="webhook_id", min_value=1, max_value=2**63 - 1)
    is_sent = django_filters.BooleanFilter(field_name="sent_at", lookup_expr="isnull", exclude=True)

    class Meta:
        model = WebhookMessage
        fields: tuple[str, ...] = ()


class WebhookMessages(RecordList):
    """What addresses were told, the newest first."""

    right: ClassVar[Right] = Right.TEND_JOBS
    ordering: ClassVar[str] = "-written_at"
    queryset = WebhookMessage.objects.all()
    serializer_class = WebhookMessageAnswer
    filterset_class = WebhookMessageFilters


@extend_schema_field({"type": "string", "format": "uuid"})
class WebhookMessageField(serializers.PrimaryKeyRelatedField[WebhookMessage]):
    """A message by its id."""

    default_error_messages = {"does_not_exist": "There is no message of this id: look it up in the list."}

    def get_queryset(self) -> QuerySet[WebhookMessage]:
        """Return all of them."""
        return WebhookMessage.objects.select_related("webhook")


class WebhookSendingAsked(serializers.Serializer[Any]):
    """Which message is sent once more."""

    message = WebhookMessageField(pk_field=serializers.UUIDField())


class WebhookSendings(Recording[Webhook]):
    """POST: what an address has not taken is sent once more, under the id that it has."""

    right: ClassVar[Right] = Right.TEND_JOBS
    asked = WebhookSendingAsked
    answered = WebhookAnswer

    def record(self, **asked: Any) -> Webhook:
        """Send it soon, and return the address."""
        return send_again(**asked)
