"""Certificates of analysis: what was measured of a lot, and what that says against what is asked."""

import base64
import binascii
from typing import Any, ClassVar

import django_filters
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from brewery.kernel.clock import brewery_day
from brewery.science.limits import Verdict
from brewery.science.properties import written
from inventory.api.codes import LotField
from inventory.models import Attachment, Certificate, CertificateValue
from inventory.models.dispositions import Disposition
from inventory.queries.certificates import certificates_in_full, properties_of, reading_of
from inventory.queries.judgements import doubts_about, judgement_of
from inventory.services.certificates import File, Measured, hand_in_certificate

PROPERTY_LENGTH = 40
LONGEST_VALUE = 120


class ValueAnswer(serializers.Serializer[CertificateValue]):
    """One property as it is stated."""

    property = serializers.CharField()
    name = serializers.CharField()
    value = serializers.CharField()
    unit = serializers.CharField()
    method = serializers.CharField()


class FileAnswer(serializers.ModelSerializer[Attachment]):
    """A file that is kept under its digest."""

    size_bytes = serializers.IntegerField(read_only=True)

    class Meta:
        model = Attachment
        fields = ("id", "name", "sha256", "content_type", "size_bytes")


class ValueFindingAnswer(serializers.Serializer[Any]):
    """What one value of the lot's certificates says against what is asked of its material today."""

    property = serializers.CharField(source="measured.key")
    value = serializers.CharField(source="shown")
    limits = serializers.CharField()
    verdict = serializers.ChoiceField(choices=[verdict.value for verdict in Verdict])


class CertificateAnswer(serializers.Serializer[Certificate]):
    """One certificate. `replaces` and `replaced_by` tell of corrections; `doubts` of figures that do not agree."""

    id = serializers.IntegerField()
    lot = serializers.CharField(source="lot.code")
    material = serializers.CharField(source="lot.material.code")
    number = serializers.CharField()
    laboratory = serializers.CharField()
    issued_on = serializers.DateField(allow_null=True)
    recorded_at = serializers.DateTimeField()
    actor = serializers.CharField(source="actor.username")
    replaces = serializers.IntegerField(source="replaces_id", allow_null=True)
    replaced_by = serializers.SerializerMethodField()
    values = serializers.SerializerMethodField()
    files = FileAnswer(source="attachments", many=True)
    doubts = serializers.SerializerMethodField()

    def get_replaced_by(self, certificate: Certificate) -> int | None:
        return certificate.replaced_by.pk if hasattr(certificate, "replaced_by") else None

    @extend_schema_field(ValueAnswer(many=True))
    def get_values(self, certificate: Certificate) -> list[dict[str, str]]:
        properties = properties_of(certificate.lot.material.kind)
        return [
            {
                "property": value.property,
                "name": properties[value.property].label,
                "value": written(reading_of(value)),
                "unit": properties[value.property].unit,
                "method": value.method,
            }
            for value in certificate.values.all()
        ]

    def get_doubts(self, certificate: Certificate) -> list[str]:
        return doubts_about(certificate.values.all())


class CertificateInFull(CertificateAnswer):
    """One certificate, with what all certificates of its lot say today, and what may be done with the lot."""

    disposition = serializers.ChoiceField(source="lot.disposition", choices=Disposition.choices)
    findings = serializers.SerializerMethodField()

    @extend_schema_field(ValueFindingAnswer(many=True))
    def get_findings(self, certificate: Certificate) -> Any:
        judgement = judgement_of(certificate.lot, brewery_day())
        return ValueFindingAnswer(judgement.findings, many=True).data


class MeasuredAsked(serializers.Serializer[Any]):
    """One property as the certificate states it: a number as text, "< 0.1", "> 95", or a word."""

    property = TextField(max_length=PROPERTY_LENGTH)
    value = TextField(max_length=LONGEST_VALUE)
    method = TextField(max_length=60, required=False, allow_blank=True, default="")

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a Measured."""
        return Measured(**attrs)


class FileAsked(serializers.Serializer[Any]):
    """The paper itself: a PDF or a photo, in base64 (RFC 4648)."""

    name = TextField(max_length=120)
    content = TextField()

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a File. Raises ValidationError where the content is not base64."""
        try:
            return File(base64.b64decode(attrs["content"], validate=True), attrs["name"])
        except (binascii.Error, ValueError) as wrong:
            raise serializers.ValidationError({"content": "Write it in base64."}, code="not_base64") from wrong


class CertificateAsked(serializers.Serializer[Any]):
    """A certificate of one lot. `replaces` is the number (id) of the certificate that it corrects."""

    lot = LotField()
    number = TextField(max_length=60, required=False, allow_blank=True, default="")
    laboratory = TextField(max_length=120, required=False, allow_blank=True, default="")
    issued_on = serializers.DateField(required=False, allow_null=True, default=None)
    replaces = serializers.PrimaryKeyRelatedField(
        queryset=Certificate.objects.all(), required=False, allow_null=True, default=None
    )
    values = MeasuredAsked(many=True)
    file = FileAsked(required=False, allow_null=True, default=None)


class CertificateFilters(django_filters.FilterSet):
    """Narrows the list of certificates. `is_replaced` ones were corrected by another."""

    lot = CodeFilter(field_name="lot__code")
    material = CodeFilter(field_name="lot__material__code")
    number = CodeFilter(field_name="number")
    is_replaced = django_filters.BooleanFilter(field_name="replaced_by", lookup_expr="isnull", exclude=True)

    class Meta:
        model = Certificate
        fields: tuple[str, ...] = ()


class Certificates(RecordList, Recording[Certificate]):
    """Certificates, the last entered first; POST enters one, which quarantines or releases its lot as it says."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.CERTIFY}
    queryset = certificates_in_full()
    serializer_class = CertificateAnswer
    asked = CertificateAsked
    answered = CertificateInFull
    filterset_class = CertificateFilters

    def record(self, **asked: Any) -> Certificate:
        """Enter it."""
        return hand_in_certificate(**asked)

    def in_full(self, made: Certificate) -> Certificate:
        """Return the certificate with its values and its lot as it is now."""
        return certificates_in_full().get(pk=made.pk)


class OneCertificate(RecordDetail):
    """One certificate by its number in the record, with what it says against what is asked."""

    queryset = certificates_in_full()
    serializer_class = CertificateInFull
    thing: ClassVar[str] = "certificate"
