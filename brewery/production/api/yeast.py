"""Yeast: what is on hand and how it stands, where it came from, and which brews a culture has touched."""

from typing import Any, ClassVar

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import BASE_UNITS, quantity_of
from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.production.queries.lineage import Culture, Touched, lineage_of, touched_by
from brewery.production.queries.yeast_states import YeastState, yeast_on_hand
from inventory.api.codes import LotField, MaterialField
from inventory.models import Lot, Material


class YeastAnswer(serializers.Serializer[Any]):
    """A yeast lot in a place: `viability` is what is alive by now in %, and `why` how that is known."""

    lot = serializers.CharField()
    material = serializers.CharField()
    location = serializers.CharField()
    quantity = serializers.CharField()
    unit = serializers.ChoiceField(choices=BASE_UNITS)
    generation = serializers.IntegerField(allow_null=True)
    last_generation = serializers.IntegerField()
    days = serializers.FloatField()
    counted = serializers.FloatField(allow_null=True)
    counted_on = serializers.DateField(allow_null=True)
    viability = serializers.FloatField(allow_null=True)
    is_predicted = serializers.BooleanField()
    why = serializers.CharField()
    million_cells_per_ml = serializers.FloatField(allow_null=True)
    is_fit = serializers.BooleanField()
    next_step = serializers.CharField()

    def to_representation(self, told: tuple[YeastState, int]) -> dict[str, Any]:
        """Return the yeast as answers show it."""
        state, micro = told
        return {
            "lot": state.lot.code,
            "material": state.lot.material.code,
            "location": state.location.code,
            **quantity_of(micro, state.lot.material.base_unit),
            "generation": state.lot.generation,
            "last_generation": state.strain.last_generation,
            "days": state.days,
            "counted": state.counted_pct,
            "counted_on": state.counted_on,
            "viability": state.viability_pct,
            "is_predicted": state.is_predicted,
            "why": state.why,
            "million_cells_per_ml": None if state.cells_per_ml is None else state.cells_per_ml / 1e6,
            "is_fit": state.is_fit,
            "next_step": state.next_step,
        }


class CultureAnswer(serializers.Serializer[Any]):
    """One yeast lot of a lineage, and of which lots it came."""

    lot = serializers.CharField(source="lot.code")
    material = serializers.CharField(source="lot.material.code")
    generation = serializers.IntegerField(source="lot.generation", allow_null=True)
    made_at = serializers.DateTimeField(source="lot.made_at")
    mothers = serializers.SerializerMethodField()
    is_pitched = serializers.BooleanField()
    is_discarded = serializers.BooleanField()
    is_on_hand = serializers.BooleanField()

    def get_mothers(self, culture: Culture) -> list[str]:
        codes: dict[int, str] = self.context["codes"]
        return [codes[key] for key in culture.mothers]


class TouchedAnswer(serializers.Serializer[Any]):
    """A beer that holds yeast of the culture or of its daughters, the crops between, and the brews in it."""

    beer = serializers.CharField(source="beer.code")
    material = serializers.CharField(source="beer.material.code")
    made_at = serializers.DateTimeField(source="beer.made_at")
    generations = serializers.IntegerField()
    brews = serializers.SerializerMethodField()

    def get_brews(self, touched: Touched) -> list[str]:
        return [brew.code for brew in touched.brews]


class StrainAsked(serializers.Serializer[Any]):
    """Of which strain; of all where none is named."""

    material = MaterialField(required=False)


class CultureAsked(serializers.Serializer[Any]):
    """Of which yeast."""

    lot = LotField()


class _Answering(GenericAPIView[Any]):
    """Answers a question about yeast."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    pagination_class = None
    filter_backends = ()

    def yeast(self, request: Request) -> Lot:
        """Return the yeast lot that is asked about. Raises InvalidInput for any other lot."""
        asked = CultureAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        lot: Lot = asked.validated_data["lot"]
        if lot.material.kind != Material.Kind.YEAST:
            raise InvalidInput(field="lot", value=lot.code, problem="It is no yeast.")
        return lot


class YeastOnHand(_Answering):
    """All yeast in stock now, strain by strain, the fittest first."""

    serializer_class = YeastAnswer

    @extend_schema(operation_id="yeast", parameters=[OpenApiParameter("material")], responses=YeastAnswer(many=True))
    def get(self, request: Request) -> Response:
        """Answer it."""
        asked = StrainAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        return Response(YeastAnswer(yeast_on_hand(now(), asked.validated_data.get("material")), many=True).data)


class YeastLineage(_Answering):
    """All yeast that a lot came from and all that came of it, in order of time."""

    serializer_class = CultureAnswer

    @extend_schema(
        operation_id="yeast_lineage",
        parameters=[OpenApiParameter("lot", required=True)],
        responses=CultureAnswer(many=True),
    )
    def get(self, request: Request) -> Response:
        """Answer it."""
        told = lineage_of([self.yeast(request)])
        codes = {culture.lot.pk: culture.lot.code for culture in told}
        return Response(CultureAnswer(told, many=True, context={"codes": codes}).data)


class TouchedBrews(_Answering):
    """Every beer and brew that a culture or any of its daughters went into."""

    serializer_class = TouchedAnswer

    @extend_schema(
        operation_id="touched_brews",
        parameters=[OpenApiParameter("lot", required=True)],
        responses=TouchedAnswer(many=True),
    )
    def get(self, request: Request) -> Response:
        """Answer it."""
        return Response(TouchedAnswer(touched_by(self.yeast(request)), many=True).data)
