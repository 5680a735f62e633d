"""Webhooks: where other programs are told of alerts, and what each was told."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q

from brewery.kernel.models import Request
from inventory.models.alerts import Alert


class Webhook(models.Model):
    """An address that is told of alerts of at least that severity, signed with the secret.

    `kinds` narrows it to some kinds of alert; none named is all. Without an end it is told.
    """

    address = models.URLField(max_length=500)
    kinds = models.JSONField(default=list, blank=True)
    least_severity = models.PositiveSmallIntegerField(choices=Alert.Severity, default=Alert.Severity.NOTICE)
    secret = models.CharField(max_length=80)
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    actor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    request = models.ForeignKey(Request, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"webhook {self.pk}"


class WebhookMessage(models.Model):
    """What one address is told of one alert: when it opens, each time it gets more pressing, and when it closes.

    `id` is the webhook-id. `body` is what is sent, the same however often.
    """

    class Event(models.TextChoices):
        """What happened to the alert."""

        OPENED = "alert.opened", "opened"
        RAISED = "alert.raised", "more pressing"
        CLOSED = "alert.closed", "closed"

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    webhook = models.ForeignKey(Webhook, on_delete=models.PROTECT, related_name="messages")
    alert = models.ForeignKey(Alert, on_delete=models.PROTECT, related_name="messages")
    event = models.CharField(max_length=20, choices=Event)
    severity = models.PositiveSmallIntegerField(choices=Alert.Severity)
    body = models.TextField()
    written_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)
    answer = models.PositiveSmallIntegerField(null=True, blank=True)

    class Meta:
        ordering = ("-written_at", "id")
        constraints = (
            models.UniqueConstraint(
                fields=("webhook", "alert", "event", "severity"), name="an_address_is_told_each_thing_once"
            ),
            models.CheckConstraint(
                name="what_is_sent_has_an_answer",
                condition=Q(sent_at=None, answer=None) | Q(sent_at__isnull=False, answer__isnull=False),
            ),
        )
        indexes = (models.Index(fields=("written_at",), condition=Q(sent_at=None), name="message_not_sent"),)

    def __str__(self) -> str:
        return f"{self.event} {self.id}"


class Digest(models.Model):
    """The mail that one person had on one day about what is theirs to act on."""

    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="digests")
    day = models.DateField()
    alerts = models.PositiveIntegerField()
    sent_at = models.DateTimeField()

    class Meta:
        ordering = ("-day", "person")
        constraints = (models.UniqueConstraint(fields=("person", "day"), name="a_person_has_one_digest_a_day"),)

    def __str__(self) -> str:
        return f"digest of {self.day.isoformat()}"
