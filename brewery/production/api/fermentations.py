"""Fermentations: what the readings of each tank tell."""

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.errors import NotFound
from brewery.production.api.tank_readings import TankReadingAnswer
from brewery.production.models import TankReading
from brewery.production.queries.fermentations import Fermentation, fermentation_of, fermentations
from brewery.production.queries.tank_limits import shown_readings
from brewery.science.fermentation import State
from inventory.queries.registers import place_of

_DECIMALS = 3


class FermentationAnswer(serializers.Serializer[Fermentation]):
    """What one tank's readings tell. Gravities are in °P; attenuation and alcohol are reckoned, not measured."""

    vessel = serializers.CharField()
    lot = serializers.CharField()
    state = serializers.ChoiceField(choices=[(state.value, state.value) for state in State])
    why = serializers.CharField()
    pitched_at = serializers.DateTimeField(allow_null=True)
    original_plato = serializers.FloatField(allow_null=True)
    original_source = serializers.CharField()
    aim_plato = serializers.FloatField(allow_null=True)
    rate_plato_per_day = serializers.FloatField(allow_null=True)
    final_plato = serializers.FloatField(allow_null=True)
    final_low = serializers.FloatField(allow_null=True)
    final_high = serializers.FloatField(allow_null=True)
    ends_at = serializers.DateTimeField(allow_null=True)
    ends_earliest = serializers.DateTimeField(allow_null=True)
    ends_latest = serializers.DateTimeField(allow_null=True)
    missing = serializers.CharField()
    apparent_attenuation_pct = serializers.FloatField(allow_null=True)
    alcohol_reckoned_pct = serializers.FloatField(allow_null=True)
    last = TankReadingAnswer(many=True)

    def to_representation(self, told: Fermentation) -> dict[str, Any]:
        """Return what is told as answers show it."""
        reckoned, fitted = told.attenuation, told.fit
        final = fitted.final if fitted else None
        best, earliest, latest = told.ends_at or (None, None, None)
        judged = self.context["shown"]
        return {
            "vessel": told.vessel.code,
            "lot": told.lot.code,
            "state": told.state.value,
            "why": told.judgement.why,
            "pitched_at": told.pitched_at,
            "original_plato": _rounded(told.original.plato),
            "original_source": told.original.source,
            "aim_plato": told.aim_plato,
            "rate_plato_per_day": _rounded(told.judgement.rate_per_day),
            "final_plato": _rounded(final.value if final else None),
            "final_low": _rounded(final.low if final else None),
            "final_high": _rounded(final.high if final else None),
            "ends_at": best,
            "ends_earliest": earliest,
            "ends_latest": latest,
            "missing": told.missing,
            "apparent_attenuation_pct": _rounded(reckoned.apparent_pct if reckoned else None),
            "alcohol_reckoned_pct": _rounded(reckoned.alcohol_by_volume_pct.value if reckoned else None),
            "last": [TankReadingAnswer(judged[one.pk]).data for one in told.last.values()],
        }


class Fermentations(GenericAPIView[Any]):
    """What the readings of every tank with wort or beer tell, by tank."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = FermentationAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="fermentations", responses=FermentationAnswer(many=True))
    def get(self, request: Request) -> Response:
        """Answer it."""
        return Response(_answers(fermentations()))


class OneFermentation(GenericAPIView[Any]):
    """What the readings of one tank tell."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = FermentationAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="fermentation")
    def get(self, request: Request, code: str) -> Response:
        """Answer it. Raises NotFound for a tank that holds nothing, too."""
        vessel = None if "\x00" in code else place_of(code)
        told = fermentation_of(vessel) if vessel else None
        if told is None:
            raise NotFound(thing="tank with wort or beer", code=code)
        return Response(_answers([told])[0])


def _answers(told: list[Fermentation]) -> Any:
    last: list[TankReading] = [reading for one in told for reading in one.last.values()]
    shown = {one.reading.pk: one for one in shown_readings(last)}
    return FermentationAnswer(told, many=True, context={"shown": shown}).data  # type: ignore[arg-type]


def _rounded(figure: float | None) -> float | None:
    return None if figure is None else round(figure, _DECIMALS)
