"""Certificates from a file: one CSV file, many lots, all of it or nothing."""

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.views import Recording
from inventory.api.certificates import CertificateAnswer, FileAsked
from inventory.models import Certificate
from inventory.queries.certificates import certificates_in_full
from inventory.services.certificate_files import hand_in_file


class CertificateFileAsked(FileAsked):
    """A CSV file in UTF-8, in base64: the first line names the columns, each further one is a lot's certificate."""

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return the content and the name."""
        file = super().validate(attrs)
        return {"content": file.content, "name": file.name}


class CertificateFileAnswer(serializers.Serializer[Certificate]):
    """The certificates that were entered, in the order of the file."""

    certificates = serializers.SerializerMethodField()

    @extend_schema_field(CertificateAnswer(many=True))
    def get_certificates(self, first: Certificate) -> Any:
        made = certificates_in_full().filter(request=first.request_id).order_by("pk")
        return [CertificateAnswer(certificate).data for certificate in made]


class CertificateFiles(Recording[Certificate]):
    """POST: enter all the certificates of a file."""

    right: ClassVar[Right] = Right.CERTIFY
    asked = CertificateFileAsked
    answered = CertificateFileAnswer

    def record(self, **asked: Any) -> Certificate:
        """Enter them."""
        return hand_in_file(**asked)
