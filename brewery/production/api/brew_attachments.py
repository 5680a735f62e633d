"""Photos and papers of a brew day, through the API."""

from typing import Any, ClassVar

from rest_framework.parsers import MultiPartParser

from brewery.kernel.access import Right
from brewery.kernel.api.views import Recording, RecordList
from brewery.production.api.brew_log import ThisBrew
from inventory.api.draft_attachments import AttachmentAnswer, AttachmentAsked
from inventory.models import Attachment
from inventory.services.attachments import keep_file


class BrewAttachments(ThisBrew, RecordList, Recording[Attachment]):
    """The files of a brew; POST adds one, sent as multipart/form-data."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.BREW}
    parser_classes = (MultiPartParser,)
    queryset = Attachment.objects.none()
    serializer_class = answered = AttachmentAnswer
    asked = AttachmentAsked

    def get_queryset(self) -> Any:
        """Return the files of the brew that the address names. Raises NotFound."""
        return Attachment.objects.filter(location=self.brew().location).select_related("added_by")

    def record(self, **asked: Any) -> Attachment:
        """Keep it."""
        file = asked.pop("file")
        return keep_file(content=file.read(), name=file.name, location=self.brew().location, **asked)
