"""The proof of the record over the API: the answer of `manage.py prove_record`."""

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from traceability.queries.proof import prove


class ProofDoubt(serializers.Serializer[Any]):
    """One lot, by its id, that the proof cannot pass, and why."""

    question = serializers.CharField()
    lot = serializers.IntegerField()
    words = serializers.CharField()


class ProofAnswer(serializers.Serializer[Any]):
    """How many lots and links were put through, and each lot that did not pass."""

    lots = serializers.IntegerField()
    links = serializers.IntegerField()
    by_question = serializers.DictField(child=serializers.IntegerField())
    doubts = ProofDoubt(many=True)


class Proofs(GenericAPIView[Any]):
    """Every lot of the record put through mass balance and completeness."""

    right: ClassVar[Right] = Right.AUDIT
    serializer_class = ProofAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="prove_record")
    def get(self, request: Request) -> Response:
        """Answer the proof as of now."""
        return Response(ProofAnswer(prove(brewery_day())).data)
