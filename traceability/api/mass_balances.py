"""Mass balances over the API: the answer of `manage.py mass_balance --json`."""

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import QuantityAnswer
from traceability.api.traces import AS_OF, LOT, LotAsked
from traceability.queries.lookup import lot_by_code
from traceability.queries.mass_balance import Whereabouts, mass_balance
from traceability.queries.report import mass_balance_as_data


class WhereaboutsAnswer(QuantityAnswer):
    """What ended up in one way."""

    where = serializers.ChoiceField(choices=[where.value for where in Whereabouts])


class MassBalanceAnswer(serializers.Serializer[Any]):
    """Every part of a lot accounted for. `ledger_difference` is what its own postings leave unexplained, exactly."""

    lot = serializers.CharField()
    material = serializers.CharField()
    as_of = serializers.DateTimeField(allow_null=True)
    received = QuantityAnswer()
    whereabouts = WhereaboutsAnswer(many=True)
    accounted = QuantityAnswer()
    difference = QuantityAnswer()
    ledger_difference = QuantityAnswer()
    closes = serializers.BooleanField()


class MassBalances(GenericAPIView[Any]):
    """Where every part of a lot is: in stock, in tanks, packaged, at customers, lost, destroyed, in yeast."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = MassBalanceAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="mass_balance", parameters=[LOT, AS_OF])
    def get(self, request: Request) -> Response:
        """Answer the mass balance."""
        asked = LotAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        lot = lot_by_code(asked.validated_data["lot"])
        return Response(mass_balance_as_data(mass_balance(lot, as_of=asked.validated_data["as_of"]), lot))
