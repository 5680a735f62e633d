"""The report of a recall as files: a PDF to be handed over, its tables as a workbook or as CSV."""

from collections.abc import Callable
from typing import ClassVar

from django.http import HttpRequest, HttpResponse
from django.utils.http import content_disposition_header

from brewery.kernel.access import Right
from brewery.kernel.pages.access import Page
from brewery.kernel.services.spreadsheets import XLSX
from traceability.pages.recalls.overview import recall_at
from traceability.printing.recall_reports import report_as_pdf
from traceability.queries.recalls import RecallView, view_of
from traceability.services.recall_tables import as_csv_files, as_workbook, file_name


class RecallFile(Page, is_a_kind_of_page=True):
    """One recall as it stands now, as a file."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    made_by: ClassVar[Callable[[RecallView], bytes]]
    ending: ClassVar[str]
    kind: ClassVar[str]

    def get(self, request: HttpRequest, *args: object, **kwargs: int) -> HttpResponse:
        """Answer the file. Raises Http404."""
        view = view_of(recall_at(kwargs["recall"]))
        answer = HttpResponse(type(self).made_by(view), content_type=self.kind)
        name = f"{file_name(view.recall)}.{self.ending}"
        answer["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
        answer["X-Content-Type-Options"] = "nosniff"
        return answer


class RecallReport(RecallFile):
    """The report, to be printed or sent."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    made_by = report_as_pdf
    ending = "pdf"
    kind = "application/pdf"


class RecallBook(RecallFile):
    """The tables as a workbook."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    made_by = as_workbook
    ending = "xlsx"
    kind = XLSX


class RecallTables(RecallFile):
    """The tables as CSV, packed."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    made_by = as_csv_files
    ending = "zip"
    kind = "application/zip"
