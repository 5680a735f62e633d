"""Seals over the API: which there are, sealing now, and what is no longer as it was sealed."""

from typing import Any, ClassVar

import django_filters
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.views import RecordList
from brewery.kernel.models import Seal
from brewery.kernel.queries.seals import broken
from brewery.kernel.services.seals import seal_record


class SealAnswer(serializers.ModelSerializer[Seal]):
    """One seal: its digest, that of the one before it, and how much it covers."""

    previous = serializers.CharField(source="previous.digest", default=None, allow_null=True)

    class Meta:
        model = Seal
        fields = ("id", "digest", "previous", "requests", "rows", "read_at", "sealed_at")


class BrokenAnswer(serializers.Serializer[Any]):
    """One thing that is not as it was sealed; `row` is its key, `seal` the number of the seal that it was under."""

    table = serializers.CharField()
    row = serializers.CharField()
    seal = serializers.IntegerField(allow_null=True)
    problem = serializers.CharField()


class SealFilters(django_filters.FilterSet):
    """Finds a seal by the digest that a report carries."""

    digest = django_filters.CharFilter(field_name="digest", max_length=64)

    class Meta:
        model = Seal
        fields: tuple[str, ...] = ()


class Seals(RecordList):
    """Seals, the latest first; POST puts everything recorded by now under one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.AUDIT, "POST": Right.DECIDE}
    filterset_class = SealFilters
    queryset = Seal.objects.select_related("previous")
    serializer_class = SealAnswer

    @extend_schema(operation_id="seal_record", request=None, responses={201: SealAnswer})
    def post(self, request: Request) -> Response:
        """Seal, and answer the last seal: what is sealed already is not sealed again, however often it is asked."""
        return Response(SealAnswer(seal_record()).data, status=201)


class SealFindings(GenericAPIView[Any]):
    """Every seal recomputed from the rows that it covers."""

    right: ClassVar[Right] = Right.AUDIT
    serializer_class = BrokenAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="verify_seals", responses=BrokenAnswer(many=True))
    def get(self, request: Request) -> Response:
        """Answer what was changed, added or removed behind the service's back; nothing where all is well."""
        return Response(BrokenAnswer(list(broken()), many=True).data)
