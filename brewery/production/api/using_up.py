"""Using up: what the planned brews had best take, and keeping it for them."""

from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import QuantityAnswer, TextField, quantity_of
from brewery.kernel.api.views import Recording
from brewery.production.queries.using_up import MOST_DAYS, USUAL_DAYS, MaterialPlan, Taking, UsingUp, using_up
from brewery.production.services.using_up import reserve_as_proposed
from inventory.models import Reservation

_KG = "kg"


class TakingAnswer(serializers.Serializer[Any]):
    """What one planned brew takes of one lot: what goes into it, and what leaves the stock for it."""

    plan = serializers.CharField()
    lot = serializers.CharField()
    brew_on = serializers.DateField()
    weight = QuantityAnswer()
    leaves_stock = QuantityAnswer()
    alpha_pct = serializers.CharField(allow_null=True)


class UsedMaterialAnswer(serializers.Serializer[Any]):
    """One material: the takings of least loss, those of first expired, first out, and by how much kg less is lost."""

    material = serializers.CharField()
    best = TakingAnswer(many=True)
    first_expired = TakingAnswer(many=True)
    saved_kg = serializers.CharField()
    is_proven = serializers.BooleanField()
    missing = serializers.DictField(child=serializers.CharField(), help_text="By plan, in kg as the sheet counts.")


class UsingUpAnswer(serializers.Serializer[UsingUp]):
    """The proposal for all planned brews up to a day; `digest` names it when it is to be reserved."""

    until = serializers.DateField()
    whole = serializers.BooleanField()
    digest = serializers.CharField()
    saved_alpha_kg = serializers.CharField()
    materials = UsedMaterialAnswer(many=True)

    def to_representation(self, found: UsingUp) -> dict[str, Any]:
        """Return the proposal as answers show it."""
        return {
            "until": found.until.isoformat(),
            "whole": found.whole,
            "digest": found.digest,
            "saved_alpha_kg": f"{found.saved_alpha_kg:.4f}",
            "materials": [_material(one) for one in found.materials],
        }


class UsingUpAsked(serializers.Serializer[Any]):
    """How many days ahead, and whether packages stay whole."""

    days = serializers.IntegerField(required=False, default=USUAL_DAYS, min_value=1, max_value=MOST_DAYS)
    whole = serializers.BooleanField(required=False, default=False)


class UsingUpProposal(GenericAPIView[Any]):
    """Which lots the planned brews had best take so that least is lost, beside first expired, first out."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = UsingUpAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="using_up",
        parameters=[OpenApiParameter("days", type=int), OpenApiParameter("whole", type=bool)],
    )
    def get(self, request: Request) -> Response:
        """Answer the proposal."""
        asked = UsingUpAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        return Response(UsingUpAnswer(using_up(**asked.validated_data)).data)


class UsingUpKept(serializers.Serializer[Any]):
    """The proposal to keep: as it was asked for, and its digest."""

    days = serializers.IntegerField(min_value=1, max_value=MOST_DAYS)
    whole = serializers.BooleanField()
    digest = TextField(max_length=64)


class FirstReservationAnswer(serializers.Serializer[Reservation]):
    """The first of the reservations that were made."""

    id = serializers.IntegerField()
    lot = serializers.CharField(source="lot.code")
    purpose = serializers.CharField()


class UsingUpReservations(Recording[Reservation]):
    """POST keeps what was proposed for the planned brews, all of it or nothing."""

    right: ClassVar[Right] = Right.BREW
    serializer_class = answered = FirstReservationAnswer
    asked = UsingUpKept

    def record(self, **asked: Any) -> Reservation:
        """Keep it."""
        return reserve_as_proposed(**asked)


def _material(one: MaterialPlan) -> dict[str, Any]:
    return {
        "material": one.material.code,
        "best": [_taking(taking) for taking in one.best],
        "first_expired": [_taking(taking) for taking in one.plain],
        "saved_kg": f"{one.saved_kg:.4f}",
        "is_proven": one.is_proven,
        "missing": {code: quantity_of(micro, _KG)["quantity"] for code, micro in one.short.items()},
    }


def _taking(taking: Taking) -> dict[str, Any]:
    return {
        "plan": taking.plan.code,
        "lot": taking.lot.code,
        "brew_on": taking.plan.brew_on.isoformat(),
        "weight": quantity_of(taking.weight_micro, _KG),
        "leaves_stock": quantity_of(taking.out_micro, _KG),
        "alpha_pct": None if taking.alpha_pct is None else f"{taking.alpha_pct:.4f}",
    }
