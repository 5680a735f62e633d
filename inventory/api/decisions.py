"""Decisions: a lot is released, held, rejected or quarantined."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField
from brewery.kernel.api.views import Recording
from inventory.api.codes import LotField
from inventory.api.parts import ReasonField
from inventory.models import Decision
from inventory.models.dispositions import Disposition
from inventory.services.decisions import decide_on_lot


class DecisionAnswer(serializers.Serializer[Decision]):
    """One decision on a lot."""

    id = serializers.IntegerField()
    lot = serializers.CharField(source="lot.code")
    before = serializers.ChoiceField(choices=Disposition.choices)
    decision = serializers.ChoiceField(source="after", choices=Disposition.choices)
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    actor = serializers.CharField(source="actor.username")
    reason = serializers.CharField()


class DecisionAsked(serializers.Serializer[Any]):
    """What may be done with a lot from now on, and why."""

    happened_at = MomentField()
    lot = LotField()
    decision = serializers.ChoiceField(choices=Disposition.choices, source="disposition")
    reason = ReasonField()


class Decisions(Recording[Decision]):
    """POST: decide what may be done with a lot."""

    right: ClassVar[Right] = Right.DECIDE
    asked = DecisionAsked
    answered = DecisionAnswer

    def record(self, **asked: Any) -> Decision:
        """Decide."""
        return decide_on_lot(**asked)
