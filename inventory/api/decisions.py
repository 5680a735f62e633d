"""Decisions: a lot is released, held, rejected or quarantined, or many lots are at once."""

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField
from brewery.kernel.api.views import Recording
from inventory.api.codes import LotField
from inventory.api.parts import ReasonField
from inventory.models import Decision
from inventory.models.dispositions import Disposition
from inventory.services.decisions import SeenLot, decide_on_lot, decide_on_lots


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
    override_reason = ReasonField()


class Decisions(Recording[Decision]):
    """POST: decide what may be done with a lot."""

    right: ClassVar[Right] = Right.DECIDE
    asked = DecisionAsked
    answered = DecisionAnswer

    def record(self, **asked: Any) -> Decision:
        """Decide."""
        return decide_on_lot(**asked)


class SeenLotAsked(serializers.Serializer[Any]):
    """One of the lots, and what it was when somebody looked; without that it is not compared."""

    lot = LotField()
    seen = serializers.ChoiceField(choices=Disposition.choices, required=False, default="")

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a SeenLot."""
        return SeenLot(**attrs)


class BulkDecisionAsked(serializers.Serializer[Any]):
    """What may be done with several lots from now on, and why: all of them or none."""

    happened_at = MomentField()
    lots = SeenLotAsked(many=True)
    decision = serializers.ChoiceField(choices=Disposition.choices, source="disposition")
    reason = ReasonField()
    override_reason = ReasonField()


class BulkDecisionAnswer(serializers.Serializer[Decision]):
    """The decisions, in the order of the lots that were named."""

    decisions = serializers.SerializerMethodField()

    @extend_schema_field(DecisionAnswer(many=True))
    def get_decisions(self, first: Decision) -> Any:
        made = first.request.decisions.select_related("lot", "actor")
        return [DecisionAnswer(decision).data for decision in made]


class BulkDecisions(Recording[Decision]):
    """POST: decide on several lots at once."""

    right: ClassVar[Right] = Right.DECIDE
    asked = BulkDecisionAsked
    answered = BulkDecisionAnswer

    def record(self, **asked: Any) -> Decision:
        """Decide on all of them."""
        return decide_on_lots(**asked)
