"""Answers that are no JSON: a PDF as it stands. What goes wrong on the way is told as JSON all the same."""

from collections.abc import Mapping
from typing import Any

from rest_framework.renderers import BaseRenderer, JSONRenderer


class PdfRenderer(BaseRenderer):
    """Hands out the bytes of a PDF."""

    media_type = "application/pdf"
    format = "pdf"
    charset = None
    render_style = "binary"

    def render(
        self, data: Any, accepted_media_type: str | None = None, renderer_context: Mapping[str, Any] | None = None
    ) -> bytes:
        """Return the PDF, or the problem that there is none."""
        rendered: bytes = data if isinstance(data, bytes) else JSONRenderer().render(data)
        return rendered
