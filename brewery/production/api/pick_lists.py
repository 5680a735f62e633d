"""The pick list of a brew: what its sheet still wants, and the lots and places to take it from."""

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import QuantityAnswer, quantity_of
from brewery.kernel.clock import now
from brewery.production.api.brew_log import ThisBrew
from brewery.production.queries.pick_lists import PickLine, pick_list_of
from inventory.api.proposals import LeftOutAnswer

_DECIMALS = 4


class PickAnswer(QuantityAnswer):
    """A quantity of a lot to take from a place; hops with the alpha acids they hold now, in %."""

    lot = serializers.CharField()
    location = serializers.CharField()
    alpha_pct = serializers.FloatField(allow_null=True)


class DrawForLineAnswer(QuantityAnswer):
    """A quantity of a lot that was drawn and did not come back, by which event, and why it stands in for another."""

    lot = serializers.CharField()
    event = serializers.IntegerField()
    stands_in_because = serializers.CharField()


class PickLineAnswer(serializers.Serializer[PickLine]):
    """One line of the sheet. A line that asks for `alpha_acids` counts `missing` in them, any other in its weight."""

    line = serializers.CharField()
    material = serializers.CharField()
    purpose = serializers.CharField()
    alpha_acids = QuantityAnswer(allow_null=True)
    wanted = QuantityAnswer()
    drawn = QuantityAnswer()
    left = QuantityAnswer()
    missing = QuantityAnswer()
    picks = PickAnswer(many=True)
    draws = DrawForLineAnswer(many=True)
    left_out = LeftOutAnswer(many=True)
    why = serializers.ListField(child=serializers.CharField())

    def to_representation(self, line: PickLine) -> dict[str, Any]:
        """Return the line as answers show it."""
        unit, alpha = line.wanted.material.base_unit, line.wanted.alpha_micro
        return {
            "line": line.wanted.key,
            "material": line.wanted.material.code,
            "purpose": line.wanted.words,
            "alpha_acids": None if alpha is None else quantity_of(alpha, unit),
            "wanted": quantity_of(line.wanted_micro, unit),
            "drawn": quantity_of(line.drawn_micro, unit),
            "left": quantity_of(line.left_micro, unit),
            "missing": quantity_of(line.missing_micro, unit),
            "picks": [
                {
                    "lot": pick.lot.code,
                    "location": pick.location.code,
                    "alpha_pct": pick.alpha and round(pick.alpha.alpha_pct, _DECIMALS),
                    **quantity_of(pick.quantity_micro, unit),
                }
                for pick in line.picks
            ],
            "draws": [
                {
                    "lot": one.lot.code,
                    "event": one.event.pk,
                    "stands_in_because": one.reason,
                    **quantity_of(one.quantity_micro, one.lot.material.base_unit),
                }
                for one in line.drawn
            ],
            "left_out": [
                {"lot": one.lot.code, "reason": one.reason, **quantity_of(one.quantity_micro, unit)}
                for one in line.left_out
            ],
            "why": line.why,
        }


class PickLists(ThisBrew, GenericAPIView[Any]):
    """What the sheet of a brew still wants now, and from which lots and places to take it; empty without a sheet."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = PickLineAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="pick_list", responses=PickLineAnswer(many=True))
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Answer the pick list."""
        lines: Any = pick_list_of(self.brew(), now())
        return Response(PickLineAnswer(lines, many=True).data)
