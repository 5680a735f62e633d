"""Alerts over the API: what people must know or do, and what they did about it."""

from typing import Any, ClassVar

import django_filters
from django.db.models import Q, QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.access import Right, Role
from brewery.kernel.api.fields import MomentField, TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from brewery.kernel.clock import now
from inventory.models import Alert, AlertStep
from inventory.queries.alerts import alerts, alerts_with_steps
from inventory.services.alerts import heed_alert

SEVERITIES = {Alert.Severity.NOTICE: "notice", Alert.Severity.WARNING: "warning", Alert.Severity.URGENT: "urgent"}


class AlertAnswer(serializers.ModelSerializer[Alert]):
    """One cause, since when, and how it stands."""

    severity = serializers.SerializerMethodField()
    lot = serializers.CharField(source="lot.code", default=None, allow_null=True)
    location = serializers.CharField(source="location.code", default=None, allow_null=True)
    material = serializers.CharField(source="material.code", default=None, allow_null=True)

    class Meta:
        model = Alert
        fields = (
            "id",
            "kind",
            "cause",
            "severity",
            "owner",
            "words",
            "address",
            "lot",
            "location",
            "material",
            "opened_at",
            "seen_at",
            "closed_at",
            "snoozed_until",
            "is_acknowledged",
        )

    @extend_schema_field(serializers.ChoiceField(choices=list(SEVERITIES.values())))
    def get_severity(self, alert: Alert) -> str:
        return SEVERITIES[Alert.Severity(alert.severity)]


class AlertStepAnswer(serializers.ModelSerializer[AlertStep]):
    """What somebody did about an alert."""

    done = serializers.ChoiceField(source="kind", choices=AlertStep.Kind.choices)
    actor = serializers.CharField(source="actor.username")

    class Meta:
        model = AlertStep
        fields = ("id", "alert", "done", "until", "note", "taken_at", "actor")


class AlertInFull(AlertAnswer):
    """One alert with what people did about it."""

    steps = AlertStepAnswer(many=True)

    class Meta:
        model = Alert
        fields: tuple[str, ...] = (*AlertAnswer.Meta.fields, "steps")


class AlertFilters(django_filters.FilterSet):
    """Narrows the list."""

    kind = django_filters.CharFilter()
    severity = django_filters.ChoiceFilter(method="by_severity", choices=[(one, one) for one in SEVERITIES.values()])
    owner = django_filters.ChoiceFilter(choices=[(role.value, role.value) for role in Role])
    lot = CodeFilter(field_name="lot__code")
    location = CodeFilter(field_name="location__code")
    material = CodeFilter(field_name="material__code")
    is_open = django_filters.BooleanFilter(field_name="closed_at", lookup_expr="isnull")
    is_put_off = django_filters.BooleanFilter(method="by_put_off")
    is_acknowledged = django_filters.BooleanFilter()

    class Meta:
        model = Alert
        fields: tuple[str, ...] = ()

    def by_severity(self, rows: QuerySet[Alert], name: str, value: str) -> QuerySet[Alert]:
        """Return those that press so much."""
        return rows.filter(severity=next(key for key, word in SEVERITIES.items() if word == value))

    def by_put_off(self, rows: QuerySet[Alert], name: str, value: bool) -> QuerySet[Alert]:
        """Return those that are put off now, or those that are not."""
        put_off = Q(snoozed_until__gt=now(), closed_at=None)
        return rows.filter(put_off) if value else rows.exclude(put_off)


class Alerts(RecordList):
    """Alerts, the newest first."""

    queryset = alerts()
    serializer_class = AlertAnswer
    filterset_class = AlertFilters


class OneAlert(RecordDetail):
    """One alert with what people did about it."""

    queryset = alerts_with_steps()
    serializer_class = AlertInFull
    lookup_field = "pk"
    thing = "alert"


@extend_schema_field({"type": "integer", "minimum": 1})
class AlertField(serializers.PrimaryKeyRelatedField[Alert]):
    """An alert by its number."""

    default_error_messages = {"does_not_exist": "There is no alert of this number: look it up in the list."}

    def get_queryset(self) -> QuerySet[Alert]:
        """Return all of them."""
        return Alert.objects.all()


class AlertStepAsked(serializers.Serializer[Any]):
    """Which alert was seen, is put off until a moment, or is up again."""

    alert = AlertField(pk_field=serializers.IntegerField(min_value=1, max_value=2**63 - 1))
    done = serializers.ChoiceField(source="kind", choices=AlertStep.Kind.choices)
    until = MomentField(required=False, default=None, allow_null=True)
    note = TextField(max_length=300, required=False, allow_blank=True, default="")


class AlertSteps(Recording[AlertStep]):
    """POST: say that an alert was seen, put it off, or take it up again."""

    right: ClassVar[Right] = Right.HEED
    asked = AlertStepAsked
    answered = AlertStepAnswer

    def record(self, **asked: Any) -> AlertStep:
        """Do so."""
        return heed_alert(**asked)
