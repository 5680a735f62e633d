"""Files that pages hand out."""

from django.http import HttpResponse
from django.utils.http import content_disposition_header


def file_answer(content: bytes, name: str, kind: str) -> HttpResponse:
    """Return the file as an answer that is kept under that name and never guessed at."""
    disposition = content_disposition_header(True, name) or "attachment"
    headers = {"Content-Disposition": disposition, "X-Content-Type-Options": "nosniff"}
    return HttpResponse(content, content_type=kind, headers=headers)
