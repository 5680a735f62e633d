"""Urgent alerts, mailed at once to those who act on them and wish it."""

from collections.abc import Sequence

from django.core.mail import EmailMessage

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.models import User
from brewery.kernel.services.jobs import enqueue
from inventory.models import Alert, MailWish
from inventory.queries.mail_wishes import wishes_of
from inventory.services.digests import message_id

SEND = "send_urgent_mail"
_SUBJECT_LENGTH = 120


def mail_urgent(alerts: Sequence[Alert]) -> None:
    """Of each alert that is urgent, those of its role who wish it have a mail coming, if the transaction commits.

    `alerts` have just been opened, or become more pressing.
    """
    urgent = [alert for alert in alerts if alert.severity == Alert.Severity.URGENT]
    for role in sorted({alert.owner for alert in urgent}):
        people = list(User.objects.filter(is_active=True, groups__name=role).exclude(email="").order_by("pk"))
        wishes = wishes_of(people)
        for person in people:
            for alert in (one for one in urgent if one.owner == role and _is_wished(wishes[person.pk], one)):
                enqueue(SEND, {"person": person.pk, "alert": alert.pk})


def send_urgent_mail(person: User, alert: Alert) -> bool:
    """The person is told of the alert by mail; return whether it was sent, not where its cause is gone meanwhile.

    A process that dies in between leaves the mail to be sent again, under the same Message-ID; no transaction is open
    while the mail server is waited for.
    """
    current = Alert.objects.due(now()).filter(pk=alert.pk, severity=Alert.Severity.URGENT)
    is_wished = person.is_active and bool(person.email) and _is_wished(wishes_of([person])[person.pk], alert)
    if not is_wished or not current.exists() or not person.groups.filter(name=alert.owner).exists():
        return False
    EmailMessage(
        subject=f"Grainward, at once: {_first_of(alert.words)}",
        body=f"{alert.words}\n\nSince {on_the_wall(alert.opened_at)}; for {alert.owner}.\n",
        to=[person.email],
        headers={"Message-ID": message_id(person, f"alert {alert.pk}")},
    ).send()
    return True


def _is_wished(wish: MailWish, alert: Alert) -> bool:
    return wish.has_urgent and alert.kind not in wish.without


def _first_of(words: str) -> str:
    """Return the words as one line that a list of mails has room for."""
    line = " ".join(words.split())
    return line if len(line) <= _SUBJECT_LENGTH else f"{line[: _SUBJECT_LENGTH - 1]}…"
