"""Answers that are no JSON: a file as it stands. What goes wrong on the way is told as JSON all the same."""

from collections.abc import Mapping
from typing import Any

from rest_framework.renderers import BaseRenderer, JSONRenderer

from brewery.kernel.services.spreadsheets import XLSX


class FileRenderer(BaseRenderer):
    """Hands out the bytes of a file."""

    charset = None
    render_style = "binary"

    def render(
        self, data: Any, accepted_media_type: str | None = None, renderer_context: Mapping[str, Any] | None = None
    ) -> bytes:
        """Return the file, or the problem that there is none."""
        rendered: bytes = data if isinstance(data, bytes) else JSONRenderer().render(data)
        return rendered


class PdfRenderer(FileRenderer):
    """A PDF."""

    media_type = "application/pdf"
    format = "pdf"


class XlsxRenderer(FileRenderer):
    """A workbook."""

    media_type = XLSX
    format = "xlsx"


class ZipRenderer(FileRenderer):
    """Files packed into one."""

    media_type = "application/zip"
    format = "zip"
