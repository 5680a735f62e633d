"""The vertical audit of one lot: every record that touches it on one page, and as a PDF."""

from typing import Any, ClassVar

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.http import content_disposition_header

from brewery.kernel.access import Right
from brewery.kernel.errors import NotFound
from brewery.kernel.pages.access import Page
from inventory.models import Lot
from traceability.pages.lot import facts_of
from traceability.printing.vertical_audits import audit_as_pdf
from traceability.queries.lookup import lot_by_code
from traceability.queries.vertical_audits import record_of


def lot_or_404(code: str) -> Lot:
    """Return the lot that bears the code. Raises Http404."""
    try:
        return lot_by_code(code)
    except NotFound as absent:
        raise Http404(str(absent)) from absent


class VerticalAuditPage(Page):
    """Every record of a lot in order of time."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/vertical_audit.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lot = lot_or_404(kwargs["code"])
        return super().get_context_data(lot=lot, facts=facts_of(lot), entries=record_of(lot), **kwargs)


class VerticalAuditPdf(Page):
    """The same, to be printed."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Answer the PDF. Raises Http404."""
        lot = lot_or_404(kwargs["code"])
        name = content_disposition_header(False, f"audit-{lot.code}.pdf") or "inline"
        return HttpResponse(audit_as_pdf(lot), content_type="application/pdf", headers={"Content-Disposition": name})
