"""Allergens of a lot and what may be claimed of it, by all that it is made of."""

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.science.allergens import ALLERGENS, CAUTION, CLAIMS
from traceability.api.traces import LOT
from traceability.queries.allergens import Profile, profile_of
from traceability.queries.lookup import lot_by_code


class CarriedAnswer(serializers.Serializer[Any]):
    """One allergen. `by` is "ingredient", or "trace" where only residue or a culture passed it on; `lots` carry it."""

    allergen = serializers.ChoiceField(choices=list(ALLERGENS))
    name = serializers.CharField()
    by = serializers.ChoiceField(choices=["ingredient", "trace"])
    is_exempt_in_eu = serializers.BooleanField()
    lots = serializers.ListField(child=serializers.CharField())


class ClaimAnswer(serializers.Serializer[Any]):
    """One claim: whether it is made for the lot's material, whether it may be, and what contradicts it.

    `is_open`: nothing contradicts it, and of the materials in `without_record` nothing is known.
    """

    claim = serializers.ChoiceField(choices=list(CLAIMS))
    is_made = serializers.BooleanField()
    is_contradicted = serializers.BooleanField()
    is_open = serializers.BooleanField()
    because = serializers.CharField()


class AllergensAnswer(serializers.Serializer[Any]):
    """The allergens of a lot by what is recorded, the groups under which each law names them, and the claims.

    `without_record`: malts and adjuncts in it of which no allergen is on record, so that the list may not be whole.
    """

    lot = serializers.CharField()
    material = serializers.CharField()
    allergens = CarriedAnswer(many=True)
    named_in_eu = serializers.ListField(child=serializers.CharField())
    named_in_us = serializers.ListField(child=serializers.CharField())
    claims = ClaimAnswer(many=True)
    without_record = serializers.ListField(child=serializers.CharField())
    caution = serializers.CharField()


class LotAllergensAsked(serializers.Serializer[Any]):
    """Which lot."""

    lot = serializers.CharField(max_length=20)


class Allergens(GenericAPIView[Any]):
    """The allergens of a lot, and what may be claimed of it."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = AllergensAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="allergens", parameters=[LOT])
    def get(self, request: Request) -> Response:
        """Answer them."""
        asked = LotAllergensAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        return Response(allergens_as_data(profile_of(lot_by_code(asked.validated_data["lot"]))))


def allergens_as_data(profile: Profile) -> dict[str, Any]:
    """Return the allergens and claims as JSON holds them."""
    return {
        "lot": profile.lot.code,
        "material": profile.lot.material.code,
        "allergens": [
            {
                "allergen": one.allergen.code,
                "name": one.allergen.label,
                "by": "ingredient" if one.is_ingredient else "trace",
                "is_exempt_in_eu": one.is_exempt_in_eu,
                "lots": [lot.code for lot in one.lots],
            }
            for one in profile.carried
        ],
        "named_in_eu": profile.named_in_eu,
        "named_in_us": profile.named_in_us,
        "claims": [
            {
                "claim": answer.claim.code,
                "is_made": answer.is_made,
                "is_contradicted": bool(answer.against),
                "is_open": answer.is_open,
                "because": answer.because,
            }
            for answer in profile.claims
        ],
        "without_record": [material.code for material in profile.silent],
        "caution": CAUTION,
    }
