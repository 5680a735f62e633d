"""The proofs that were kept, and what they found, over the API."""

from typing import ClassVar

import django_filters
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordList
from traceability.models import Finding, RecordProof
from traceability.queries.findings import TITLES


class KeptProofAnswer(serializers.ModelSerializer[RecordProof]):
    """One proof of the whole record: how much it put through, and how many findings stood."""

    class Meta:
        model = RecordProof
        fields = ("id", "proved_at", "lots", "links", "findings")


class ProofFindingAnswer(serializers.ModelSerializer[Finding]):
    """One lot that did not pass one question: since which proof, and until which, null while it stands."""

    lot = serializers.CharField(source="lot.code")
    found_at = serializers.DateTimeField(source="found_by.proved_at")
    ended_at = serializers.DateTimeField(source="end.proof.proved_at", default=None, allow_null=True)

    class Meta:
        model = Finding
        fields = ("id", "question", "lot", "words", "found_at", "ended_at")


class FindingFilters(django_filters.FilterSet):
    """Narrows the list."""

    lot = CodeFilter(field_name="lot__code")
    question = django_filters.ChoiceFilter(choices=[(name, title) for name, (title, _) in TITLES.items()])
    is_standing = django_filters.BooleanFilter(field_name="end", lookup_expr="isnull")

    class Meta:
        model = Finding
        fields: tuple[str, ...] = ()


class KeptProofs(RecordList):
    """The proofs of every night, the newest first."""

    right: ClassVar[Right] = Right.AUDIT
    queryset = RecordProof.objects.all()
    serializer_class = KeptProofAnswer


class Findings(RecordList):
    """What proofs found, the newest first."""

    right: ClassVar[Right] = Right.AUDIT
    queryset = Finding.objects.select_related("lot", "found_by", "end__proof")
    serializer_class = ProofFindingAnswer
    filterset_class = FindingFilters
