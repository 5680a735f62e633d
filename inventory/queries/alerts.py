"""Alerts as people look at them."""

from collections.abc import Collection
from datetime import datetime

from django.db.models import Max, Prefetch, QuerySet

from inventory.models import Alert, AlertLook, AlertStep


def alerts() -> QuerySet[Alert]:
    """Return all alerts, each with its lot, place and material, what presses most first."""
    return Alert.objects.select_related("lot", "location", "material")


def alerts_with_steps() -> QuerySet[Alert]:
    """Return the alerts as above, each with what people did about it."""
    return alerts().prefetch_related(Prefetch("steps", AlertStep.objects.select_related("actor").order_by("pk")))


def how_many_due(owners: Collection[str], moment: datetime) -> int:
    """Return how many open alerts people of these roles are to be told of; one statement."""
    return Alert.objects.due(moment).filter(owner__in=owners).count()


def last_look() -> datetime | None:
    """Return when causes of any kind were looked for last, or None where they never were."""
    last: datetime | None = AlertLook.objects.aggregate(last=Max("looked_at"))["last"]
    return last
