"""The report of a recall over the API: the PDF that is handed over, and its tables as a workbook or as CSV."""

from typing import Any, ClassVar

from django.utils.http import content_disposition_header
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.renderers import PdfRenderer, XlsxRenderer, ZipRenderer
from brewery.kernel.api.views import RecordDetail
from traceability.printing.recall_reports import report_as_pdf
from traceability.queries.recalls import RecallView, recalls, view_of
from traceability.services.recall_tables import as_csv_files, as_workbook, file_name


class RecallFile(RecordDetail):
    """One recall as it stands now, as a file."""

    queryset = recalls()
    lookup_field = "pk"
    thing = "recall"

    def view(self) -> RecallView:
        """Return the recall as it stands. Raises NotFound."""
        return view_of(self.get_object())


def _answer(view: RecallView, content: bytes, ending: str) -> Response:
    name = content_disposition_header(True, f"{file_name(view.recall)}.{ending}") or "attachment"
    return Response(content, headers={"Content-Disposition": name})


def _described(operation: str, kind: str, words: str) -> Any:
    response = OpenApiResponse(OpenApiTypes.BINARY, description=words)
    return extend_schema(operation_id=operation, responses={(200, kind): response})


class RecallReport(RecallFile):
    """The report of a recall as PDF: for people outside."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    renderer_classes = (PdfRenderer,)

    @_described("recall_report", PdfRenderer.media_type, "Ready to be printed or sent.")
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Answer the PDF."""
        view = self.view()
        return _answer(view, report_as_pdf(view), "pdf")


class RecallBook(RecallFile):
    """The tables of a recall as one workbook; the events bear the key data elements of 21 CFR 1 subpart S."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    renderer_classes = (XlsxRenderer,)

    @_described("recall_workbook", XlsxRenderer.media_type, "A sheet each: about, events, lots, customers, balance.")
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Answer the workbook."""
        view = self.view()
        return _answer(view, as_workbook(view), "xlsx")


class RecallTables(RecallFile):
    """The same tables as CSV files in one ZIP file."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    renderer_classes = (ZipRenderer,)

    @_described("recall_tables", ZipRenderer.media_type, "A file of CSV for each table.")
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Answer the files."""
        view = self.view()
        return _answer(view, as_csv_files(view), "zip")
