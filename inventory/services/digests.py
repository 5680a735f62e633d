"""Digests: each person has one mail a day about what is theirs to act on, where there is anything."""

import uuid
from datetime import date
from email.utils import parseaddr

from django.conf import settings
from django.core.mail import EmailMessage

from brewery.kernel.access import Role
from brewery.kernel.clock import brewery_day, now, on_the_wall
from brewery.kernel.models import User
from brewery.kernel.services.jobs import enqueue
from inventory.models import Alert, Digest
from inventory.queries.mail_wishes import wishes_of

SEND = "send_digest"
MOST_TOLD = 100
_NAMESPACE = uuid.UUID("0b2f6c52-6a54-5c0f-9d0e-8f2a4a1c7b60")


def ask_for_digests() -> int:
    """Who wishes it, has a mail address and something to act on has a digest that waits; return how many."""
    day = brewery_day()
    owners = set(Alert.objects.due(now()).values_list("owner", flat=True))
    people = User.objects.filter(is_active=True, groups__name__in=owners).exclude(email="").distinct()
    people = people.exclude(digests__day=day)
    wishes = wishes_of(people)
    told = [person for person in people if wishes[person.pk].has_digest]
    for person in told:
        enqueue(SEND, {"person": person.pk, "day": day.isoformat()})
    return len(told)


def send_digest(person: User, day: date) -> int:
    """The person's mail of that day is sent, and then that is on record; return of how many alerts it tells.

    What is on record is not sent again. A process that dies in between leaves the mail to be sent again, under the same
    Message-ID; no transaction is open while the mail server is waited for.
    """
    due = Alert.objects.due(now()).filter(owner__in=_roles_of(person))
    alerts = list(due.exclude(kind__in=wishes_of([person])[person.pk].without)[:MOST_TOLD])
    if not alerts or Digest.objects.filter(person=person, day=day).exists():
        return 0
    EmailMessage(
        subject=f"Grainward, {day.isoformat()}: {len(alerts)} to act on",
        body=_body(alerts),
        to=[person.email],
        headers={"Message-ID": message_id(person, day.isoformat())},
    ).send()
    Digest.objects.get_or_create(person=person, day=day, defaults={"alerts": len(alerts), "sent_at": now()})
    return len(alerts)


def _roles_of(person: User) -> list[str]:
    names = set(person.groups.values_list("name", flat=True))
    return [role.value for role in Role if role.value in names]


def _body(alerts: list[Alert]) -> str:
    told = "\n\n".join(_line(alert) for alert in alerts)
    more = "\n\nThere are more: look at the page of alerts." if len(alerts) == MOST_TOLD else ""
    return f"{told}{more}\n"


def _line(alert: Alert) -> str:
    return f"{Alert.Severity(alert.severity).label}: {alert.words} (since {on_the_wall(alert.opened_at)})"


def message_id(person: User, what: str) -> str:
    """Return the Message-ID of what the person is told, the same however often it is sent."""
    domain = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].partition("@")[2] or "grainward.invalid"
    return f"<{uuid.uuid5(_NAMESPACE, f'{person.pk} {what}')}@{domain}>"
