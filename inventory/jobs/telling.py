"""Telling people and programs of alerts."""

from datetime import date, time
from typing import Any

from brewery.kernel.models import User
from brewery.kernel.services.job_registry import job
from inventory.models import Alert, WebhookMessage
from inventory.services import digests, urgent_mails, webhooks


@job("ask_for_digests", daily_at=time(6, 30))
def ask_for_digests() -> dict[str, Any]:
    """Return how many people have a digest coming."""
    return {"people": digests.ask_for_digests()}


@job(digests.SEND, writes=False)
def send_digest(person: int, day: str) -> dict[str, Any]:
    """Return of how many alerts the person was told."""
    return {"alerts": digests.send_digest(User.objects.get(pk=person), date.fromisoformat(day))}


@job(urgent_mails.SEND, writes=False)
def send_urgent_mail(person: int, alert: int) -> dict[str, Any]:
    """Return whether the person was told."""
    is_sent = urgent_mails.send_urgent_mail(User.objects.get(pk=person), Alert.objects.get(pk=alert))
    return {"sent": is_sent}


@job(webhooks.SEND, writes=False)
def send_webhook(message: str) -> dict[str, Any]:
    """Return what the receiver answered."""
    row = WebhookMessage.objects.select_related("webhook", "alert").get(pk=message)
    return {"answer": webhooks.send(row)}
