"""Photos and papers of a delivery, through the API."""

from typing import Any, ClassVar

from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from brewery.kernel.access import Right
from brewery.kernel.api.views import Recording, RecordList
from inventory.api.delivery_drafts import delivery_of
from inventory.models import Attachment
from inventory.services.attachments import keep_file


class AttachmentAnswer(serializers.Serializer[Attachment]):
    """One file, under the SHA-256 digest of what it holds."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    content_type = serializers.CharField()
    size_bytes = serializers.IntegerField()
    sha256 = serializers.CharField()
    added_by = serializers.CharField(source="added_by.username")
    added_at = serializers.DateTimeField()


class AttachmentAsked(serializers.Serializer[Any]):
    """A PDF, JPEG or PNG, told apart by what it holds."""

    file = serializers.FileField(allow_empty_file=True)


class DraftAttachments(RecordList, Recording[Attachment]):
    """The files of a delivery; POST adds one, sent as multipart/form-data, before the booking or after it."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.RECEIVE}
    parser_classes = (MultiPartParser,)
    queryset = Attachment.objects.none()
    serializer_class = answered = AttachmentAnswer
    asked = AttachmentAsked

    def get_queryset(self) -> Any:
        """Return the files of the delivery that the address names. Raises NotFound."""
        return Attachment.objects.filter(delivery=delivery_of(self.kwargs["pk"])).select_related("added_by")

    def record(self, **asked: Any) -> Attachment:
        """Keep it."""
        file = asked.pop("file")
        return keep_file(content=file.read(), name=file.name, delivery=delivery_of(self.kwargs["pk"]), **asked)
