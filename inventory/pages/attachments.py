"""The file of an attachment, as it was handed over."""

from typing import Any, ClassVar

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.http import content_disposition_header

from brewery.kernel.access import Right
from brewery.kernel.pages.access import Page
from inventory.models import Attachment
from inventory.services.attachments import FileLost, content_of


class AttachmentFile(Page):
    """The content of one attachment, to be saved: no browser shows it as a page of ours."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        attachment = Attachment.objects.filter(pk=kwargs["attachment"]).first()
        if attachment is None:
            raise Http404(f"There is no attachment {kwargs['attachment']}.")
        try:
            content = content_of(attachment)
        except FileLost as lost:
            return HttpResponse(str(lost), status=lost.status, content_type="text/plain; charset=utf-8")
        return as_download(content, attachment)


def as_download(content: bytes, attachment: Attachment) -> HttpResponse:
    """Return the content with its own media type, under its name, to be saved and never guessed at."""
    answer = HttpResponse(content, content_type=attachment.content_type)
    answer["Content-Disposition"] = content_disposition_header(True, attachment.name) or "attachment"
    answer["X-Content-Type-Options"] = "nosniff"
    answer["Content-Security-Policy"] = "sandbox; default-src 'none'"
    return answer
