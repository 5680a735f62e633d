"""Webhooks: other programs are told of alerts, signed as the open specification Standard Webhooks says.

Each message has an id that stays the same however often it is sent: a receiver that has seen it drops it. A message is
written in the transaction that opens or closes the alert, and sent by a job.
"""

import base64
import hashlib
import hmac
import ipaddress
import json
import secrets
import socket
from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

import httpx  # noqa: TID251  this is the one place that talks to others
from django.conf import settings

from brewery.kernel.clock import now
from brewery.kernel.database.sets import AT_ONCE
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.jobs import enqueue
from brewery.kernel.services.requests import once
from inventory.models import Alert, Webhook, WebhookMessage

Event = WebhookMessage.Event
SEND = "send_webhook"
UNANSWERED = "webhook_unanswered"
"""The kind of alert that an address does not answer; people are told of it, and no address is."""
SECRET_PREFIX = "whsec_"  # noqa: S105  what secrets of the specification begin with
PATIENCE_S = 10.0
SECRET_BYTES = 32
MOST_PORTS = 65_535


class NotTaken(Exception):
    """The receiver did not take the message; it is sent again later."""


@once("add_webhook", returns=Webhook)
def add_webhook(
    *,
    address: str,
    actor: User,
    request_id: UUID,
    kinds: Collection[str] = (),
    least_severity: int = Alert.Severity.NOTICE,
) -> Webhook:
    """Alerts that open or close from now on are told to the address; its secret is in what is returned.

    Raises InvalidInput for an address that is not https, or lies within a network of one's own.
    """
    _machines_of(address)
    secret = SECRET_PREFIX + base64.b64encode(secrets.token_bytes(SECRET_BYTES)).decode()
    return Webhook.objects.create(
        address=address,
        kinds=list(kinds),
        least_severity=least_severity,
        secret=secret,
        made_at=now(),
        actor=actor,
        request_id=request_id,
    )


@once("end_webhook", returns=Webhook)
def end_webhook(*, webhook: Webhook, actor: User, request_id: UUID) -> Webhook:
    """The address is told nothing more, not even what waits."""
    Webhook.objects.filter(pk=webhook.pk, ended_at=None).update(ended_at=now())
    webhook.refresh_from_db()
    return webhook


@once("send_webhook_again", returns=Webhook)
def send_again(*, message: WebhookMessage, actor: User, request_id: UUID) -> Webhook:
    """What the address has not taken is sent once more, under the id that it has.

    Raises InvalidInput for what it took, or for an address that is told nothing more.
    """
    if message.sent_at or message.webhook.ended_at:
        problem = "It was taken." if message.sent_at else "The webhook has ended."
        raise InvalidInput(field="message", value=str(message.pk), problem=problem)
    enqueue(SEND, {"message": str(message.pk)})
    return message.webhook


def tell_of(
    moment: datetime, *, opened: Sequence[Alert] = (), raised: Sequence[Alert] = (), closed: Sequence[Alert] = ()
) -> None:
    """Every address that wants to know has a message that waits, if the caller's transaction commits.

    Of an alert that has become more pressing an address may hear for the first time, as opened; of a closed one only
    who heard of it before. Each severity of an alert is told once. That an address does not answer is told to none.
    """
    webhooks = list(Webhook.objects.filter(ended_at=None)) if opened or raised or closed else []
    if not webhooks:
        return
    earlier = WebhookMessage.objects.filter(webhook__in=webhooks, alert__in=[*raised, *closed])
    told = set(earlier.values_list("webhook", "alert", "severity"))
    heard = {(webhook, alert) for webhook, alert, _ in told}
    messages: list[WebhookMessage] = []
    for webhook in webhooks:
        worse = [one for one in raised if _wants(webhook, one) and (webhook.pk, one.pk, one.severity) not in told]
        known = [one for one in worse if (webhook.pk, one.pk) in heard]
        fresh = [one for one in worse if (webhook.pk, one.pk) not in heard]
        wanted = [one for one in opened if _wants(webhook, one)]
        over = [one for one in closed if (webhook.pk, one.pk) in heard]
        for event, alerts in ((Event.OPENED, [*wanted, *fresh]), (Event.RAISED, known), (Event.CLOSED, over)):
            messages += [_message(webhook, alert, event, moment) for alert in alerts]
    for message in WebhookMessage.objects.bulk_create(messages, batch_size=AT_ONCE):
        enqueue(SEND, {"message": str(message.pk)})


def _wants(webhook: Webhook, alert: Alert) -> bool:
    is_named = not webhook.kinds or alert.kind in webhook.kinds
    return is_named and alert.kind != UNANSWERED and alert.severity >= webhook.least_severity


def send(message: WebhookMessage) -> int | None:
    """The receiver took the message, and its answer is kept.

    What was taken already, or is no longer wanted, is not sent. No transaction is open while others are waited for: a
    process that dies in between leaves the message to be sent again. Raises NotTaken where it answered otherwise or
    not at all.
    """
    if message.sent_at or message.webhook.ended_at:
        return message.answer
    body = message.body.encode()
    answer = _post(message.webhook.address, body, _headers(message, body, now()))
    if not 200 <= answer < 300:
        raise NotTaken(f"{message.webhook.address} answered {answer}.")
    WebhookMessage.objects.filter(pk=message.pk, sent_at=None).update(sent_at=now(), answer=answer)
    return answer


def _message(webhook: Webhook, alert: Alert, event: WebhookMessage.Event, moment: datetime) -> WebhookMessage:
    body = json.dumps(_told(alert, event, moment), separators=(",", ":"))
    return WebhookMessage(
        webhook=webhook, alert=alert, event=event, severity=alert.severity, body=body, written_at=moment
    )


def _told(alert: Alert, event: WebhookMessage.Event, moment: datetime) -> dict[str, Any]:
    return {
        "type": event,
        "timestamp": moment.isoformat(),
        "data": {
            "id": alert.pk,
            "kind": alert.kind,
            "severity": Alert.Severity(alert.severity).name.lower(),
            "owner": alert.owner,
            "words": alert.words,
            "address": alert.address,
            "opened_at": alert.opened_at.isoformat(),
            "closed_at": alert.closed_at.isoformat() if alert.closed_at else None,
        },
    }


def _headers(message: WebhookMessage, body: bytes, moment: datetime) -> dict[str, str]:
    stamp = str(int(moment.timestamp()))
    return {
        "Content-Type": "application/json",
        "webhook-id": str(message.pk),
        "webhook-timestamp": stamp,
        "webhook-signature": signature(message.webhook.secret, str(message.pk), stamp, body),
    }


def signature(secret: str, message_id: str, stamp: str, body: bytes) -> str:
    """Return the signature by version 1 of Standard Webhooks: HMAC with SHA-256 of id, time and body."""
    key = base64.b64decode(secret.removeprefix(SECRET_PREFIX))
    signed = hmac.new(key, b".".join((message_id.encode(), stamp.encode(), body)), hashlib.sha256)
    return "v1," + base64.b64encode(signed.digest()).decode()


def _post(address: str, body: bytes, headers: dict[str, str]) -> int:
    """Send it to the very machine that was looked up and found to be allowed; follow no redirect, read no answer."""
    url = httpx.URL(address)
    try:
        with (
            httpx.Client(timeout=PATIENCE_S, follow_redirects=False, trust_env=False) as client,
            client.stream(
                "POST",
                url.copy_with(host=_machines_of(address)[0]),
                content=body,
                headers={**headers, "Host": url.netloc.decode()},
                extensions={"sni_hostname": url.host},
            ) as answer,
        ):
            return answer.status_code
    except httpx.HTTPError as error:
        raise NotTaken(f"{address}: {error}") from error


def _machines_of(address: str) -> list[str]:
    """Return the numbers of the machines at an address. Raises InvalidInput where they may not be told."""
    try:
        url = httpx.URL(address)
    except (httpx.InvalidURL, ValueError) as error:
        raise InvalidInput(field="address", value=address, problem=f"It is no address: {error}.") from error
    if not 0 < (url.port or MOST_PORTS) <= MOST_PORTS:
        raise InvalidInput(field="address", value=address, problem=f"Its port is 1 to {MOST_PORTS}.")
    if not url.host or url.scheme not in ("https", *(("http",) if settings.WEBHOOKS_WITHIN else ())):
        raise InvalidInput(field="address", value=address, problem="Give an address that begins with https://.")
    try:
        found = socket.getaddrinfo(url.host, url.port, type=socket.SOCK_STREAM)
    except (OSError, UnicodeError) as error:
        raise InvalidInput(field="address", value=address, problem=f"Its machine is not found: {error}.") from error
    numbers = [str(one[4][0]) for one in found]
    if not settings.WEBHOOKS_WITHIN and not all(ipaddress.ip_address(one).is_global for one in numbers):
        problem = "It lies within a network of its own; set WEBHOOKS_WITHIN where that is meant."
        raise InvalidInput(field="address", value=address, problem=problem)
    return numbers
