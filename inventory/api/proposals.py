"""Proposals: from which lots to take a quantity, the first to expire first."""

from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import ALL_UNITS, QuantityAnswer, QuantityPair, quantity_of, refuse_other_unit
from brewery.kernel.clock import brewery_day
from inventory.api.codes import MaterialField
from inventory.queries.proposals import Proposal, propose


class ProposedLineAnswer(QuantityAnswer):
    """A quantity of a lot to take from a place: so many whole packages, and whether one more is opened."""

    lot = serializers.CharField()
    location = serializers.CharField()
    best_before = serializers.DateField(allow_null=True)
    whole_packages = serializers.IntegerField()
    opens_one = serializers.BooleanField()


class LeftOutAnswer(QuantityAnswer):
    """What is on hand of a lot and not proposed, and why."""

    lot = serializers.CharField()
    reason = serializers.CharField()


class ProposalAnswer(serializers.Serializer[Any]):
    """What to take, and what there is not enough of."""

    material = serializers.CharField()
    asked = QuantityAnswer()
    proposed = QuantityAnswer()
    missing = QuantityAnswer()
    lines = ProposedLineAnswer(many=True)
    left_out = LeftOutAnswer(many=True)

    def to_representation(self, proposal: Proposal) -> dict[str, Any]:
        """Return the proposal as answers show it."""
        unit = proposal.material.base_unit
        return {
            "material": proposal.material.code,
            "asked": quantity_of(proposal.asked_micro, unit),
            "proposed": quantity_of(proposal.proposed_micro, unit),
            "missing": quantity_of(proposal.missing_micro, unit),
            "lines": [
                {
                    "lot": line.lot.code,
                    "location": line.location.code,
                    "best_before": line.lot.best_before and line.lot.best_before.isoformat(),
                    "whole_packages": line.whole_packages,
                    "opens_one": line.opens_one,
                    **quantity_of(line.quantity_micro, unit),
                }
                for line in proposal.lines
            ],
            "left_out": [
                {"lot": one.lot.code, "reason": one.reason, **quantity_of(one.quantity_micro, unit)}
                for one in proposal.left_out
            ],
        }


class ProposalAsked(QuantityPair):
    """How much of what, for use on which day (today, unless it is given)."""

    material = MaterialField()
    use_on = serializers.DateField(required=False, default=None)
    whole_packages = serializers.BooleanField(required=False, default=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read. Raises ValidationError where the unit does not measure the material."""
        read = super().validate(attrs)
        amount = read.pop("amount")
        refuse_other_unit(amount, read["material"].base_unit)
        return {**read, "quantity_micro": amount.micro}


class Proposals(GenericAPIView[Any]):
    """From which lots to take a quantity: the first to expire first, out of what is free, open packages first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = ProposalAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="proposal",
        parameters=[
            OpenApiParameter("material", required=True),
            OpenApiParameter("quantity", required=True),
            OpenApiParameter("unit", required=True, enum=ALL_UNITS),
            OpenApiParameter("use_on", type={"type": "string", "format": "date"}),
            OpenApiParameter("whole_packages", type=bool),
        ],
    )
    def get(self, request: Request) -> Response:
        """Answer the proposal."""
        asked = ProposalAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        today, read = brewery_day(), dict(asked.validated_data)
        read["use_on"] = read["use_on"] or today
        return Response(ProposalAnswer(propose(today=today, **read)).data)
