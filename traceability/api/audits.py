"""The ledger's audits over the API: the answer of `manage.py audit_ledger`."""

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from inventory.queries.audits import run_audits


class FindingAnswer(serializers.Serializer[Any]):
    """One row that disagrees with the postings."""

    table = serializers.CharField()
    row = serializers.IntegerField()
    detail = serializers.CharField()


class AuditAnswer(serializers.Serializer[Any]):
    """One named audit with what it found; nothing where all is well."""

    audit = serializers.CharField()
    findings = FindingAnswer(many=True)


class Audits(GenericAPIView[Any]):
    """The whole ledger recomputed from its postings, audit by audit."""

    right: ClassVar[Right] = Right.AUDIT
    serializer_class = AuditAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="audit_ledger", responses=AuditAnswer(many=True))
    def get(self, request: Request) -> Response:
        """Run every audit and answer what each found."""
        found = [{"audit": name, "findings": findings} for name, findings in run_audits()]
        return Response(AuditAnswer(found, many=True).data)
