"""Alerts: causes are looked for, and each has one alert from when it is found until it is gone.

Whoever knows of a kind of cause says here how to find all that there are now, from any app.
"""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass, fields
from datetime import datetime
from uuid import UUID

from django.db import transaction

from brewery.kernel.access import Role
from brewery.kernel.clock import now
from brewery.kernel.database.sets import AT_ONCE
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Alert, AlertLook, AlertStep
from inventory.services.alert_bells import Bell
from inventory.services.urgent_mails import mail_urgent
from inventory.services.webhooks import tell_of


@dataclass(frozen=True)
class Cause:
    """One thing that somebody must know or do. `cause` names it among its kind, the same as long as it lasts.

    `address` is where it is dealt with.
    """

    cause: str
    words: str
    owner: Role
    severity: Alert.Severity = Alert.Severity.WARNING
    address: str = ""
    lot_id: int | None = None
    location_id: int | None = None
    material_id: int | None = None


Finder = Callable[[datetime], Iterable[Cause]]
"""Returns every cause of one kind that is there at a moment, which is now."""


@dataclass(frozen=True)
class AlertKind:
    """One kind of cause: what it is called, how its causes are found, and after which writes at once."""

    name: str
    label: str
    finder: Finder
    after: tuple[Bell, ...] = ()


_kinds: dict[str, AlertKind] = {}


def alerts_of(name: str, label: str, *, after: Collection[Bell] = ()) -> Callable[[Finder], Finder]:
    """From now on the decorated function finds causes of this kind: every few minutes, and soon `after` such writes.

    Raises ValueError for a name that is taken.
    """

    def register(finder: Finder) -> Finder:
        if name in _kinds:
            raise ValueError(f"Two kinds of alert are called {name!r}.")
        _kinds[name] = AlertKind(name, label, finder, tuple(after))
        return finder

    return register


def alert_kinds() -> dict[str, AlertKind]:
    """Return the kinds there are, by name, in the order of their labels."""
    return dict(sorted(_kinds.items(), key=lambda item: item[1].label))


def kinds_after(bell: Bell) -> list[str]:
    """Return the names of the kinds that such a write may open or close."""
    return [kind.name for kind in alert_kinds().values() if bell in kind.after]


def label_of(alert: Alert) -> str:
    """Return what its kind is called; of a kind that is no longer looked for, its name."""
    kind = _kinds.get(alert.kind)
    return kind.label if kind else alert.kind


@dataclass(frozen=True)
class Looked:
    """What one look at one kind came to."""

    opened: int
    closed: int
    standing: int


def look(name: str) -> Looked | None:
    """Every cause of that kind that is there now has its open alert, and no other has.

    The causes are read without a lock. Where somebody else finished a look meanwhile, this one is dropped and None
    returned: what was read may be older than what that one wrote.
    """
    seen, _ = AlertLook.objects.get_or_create(kind=name)
    moment = now()
    causes = {cause.cause: cause for cause in _kinds[name].finder(moment)}
    with transaction.atomic():
        is_ours = AlertLook.objects.filter(kind=name, number=seen.number)
        if not is_ours.update(number=seen.number + 1, looked_at=moment):
            return None
        return _reconcile(name, causes, moment)


def _reconcile(name: str, causes: dict[str, Cause], moment: datetime) -> Looked:
    standing = {alert.cause: alert for alert in Alert.objects.open().filter(kind=name)}
    gone = [alert for cause, alert in standing.items() if cause not in causes]
    for alert in gone:
        alert.closed_at = moment
    Alert.objects.filter(pk__in=[alert.pk for alert in gone]).update(closed_at=moment)
    Alert.objects.filter(pk__in=[one.pk for cause, one in standing.items() if cause in causes]).update(seen_at=moment)
    lasting = [(alert, causes[cause]) for cause, alert in standing.items() if cause in causes]
    raised = [alert for alert, cause in lasting if cause.severity > alert.severity]
    changed = [alert for alert, cause in lasting if _follow(alert, cause)]
    Alert.objects.bulk_update(changed, (*FOLLOWED, *_WAKES), batch_size=AT_ONCE)
    new = Alert.objects.bulk_create(
        [_alert(name, key, cause, moment) for key, cause in causes.items() if key not in standing], batch_size=AT_ONCE
    )
    tell_of(moment, opened=new, raised=raised, closed=gone)
    mail_urgent([*new, *raised])
    return Looked(len(new), len(gone), len(causes))


_WAKES = ("snoozed_until", "is_acknowledged")
FOLLOWED = tuple(field.name for field in fields(Cause) if field.name != "cause")


def _follow(alert: Alert, cause: Cause) -> bool:
    """Bring the alert to what its cause is now; return whether that was something else.

    What has become more pressing is new to people: nobody has seen that, or put it off.
    """
    if cause.severity > alert.severity:
        alert.snoozed_until, alert.is_acknowledged = None, False
    before = {name: getattr(alert, name) for name in FOLLOWED}
    for name in FOLLOWED:
        setattr(alert, name, getattr(cause, name))
    return before != {name: getattr(alert, name) for name in FOLLOWED}


def _alert(name: str, key: str, cause: Cause, moment: datetime) -> Alert:
    told = {field: getattr(cause, field) for field in FOLLOWED}
    return Alert(kind=name, cause=key, opened_at=moment, seen_at=moment, **told)


@once("heed_alert", returns=AlertStep)
def heed_alert(
    *, alert: Alert, kind: str, actor: User, request_id: UUID, until: datetime | None = None, note: str = ""
) -> AlertStep:
    """Somebody says that it was seen, that nobody is to be told of it again until a moment, or that it is up again.

    It stays open until its cause is gone. Raises InvalidInput for a moment that is missing or over, or for putting off
    what is closed.
    """
    if kind == AlertStep.Kind.SNOOZED:
        _refuse_putting_off(alert, until)
    elif until:
        raise InvalidInput(field="until", value=until.isoformat(), problem="Only what is put off has a time.")
    Alert.objects.filter(pk=alert.pk).update(
        **({"is_acknowledged": True} if kind == AlertStep.Kind.ACKNOWLEDGED else {"snoozed_until": until})
    )
    return AlertStep.objects.create(
        alert=alert, kind=kind, until=until, note=note, taken_at=now(), actor=actor, request_id=request_id
    )


def _refuse_putting_off(alert: Alert, until: datetime | None) -> None:
    if until is None or until <= now():
        told = until.isoformat() if until else ""
        raise InvalidInput(field="until", value=told, problem="Give a time that is still to come.")
    if alert.closed_at:
        raise InvalidInput(field="alert", value=alert.pk, problem="Its cause is gone, so there is nothing to put off.")


def look_at(names: Collection[str] | None = None) -> dict[str, Looked | None]:
    """Look at these kinds, or at all, and return what each look came to.

    A finder that fails keeps no other from its turn; what failed is raised at the end, as a group.
    """
    done: dict[str, Looked | None] = {}
    failed: list[Exception] = []
    for name in alert_kinds() if names is None else names:
        try:
            done[name] = look(name)
        except Exception as error:
            error.add_note(f"while alerts of {name} were looked for")
            failed.append(error)
    if failed:
        raise ExceptionGroup("some alerts could not be looked for", failed)
    return done
