"""The pages of the record's answers."""

from django.urls import path

from traceability.pages.common_cause import CommonCausePage
from traceability.pages.duty import DutyArchiveFile, DutyBook, DutyPage, DutyPaper, DutyPeriodPage, DutyPostingsPage
from traceability.pages.duty_rates import DutyRatesPage
from traceability.pages.duty_standings import DutyPurposesPage, DutyStandingsPage
from traceability.pages.duty_worksheet import DutyWorksheetPage
from traceability.pages.event import EventPage
from traceability.pages.holds.contamination import ContaminationPage
from traceability.pages.holds.overview import HoldPage, HoldsPage
from traceability.pages.holds.placing import NewHoldPage
from traceability.pages.lot import LotPage
from traceability.pages.postings import BalancePartPage, PostingsPage
from traceability.pages.proof import ProofPage
from traceability.pages.recalls.overview import NewRecallPage, RecallPage, RecallsPage
from traceability.pages.recalls.reports import RecallBook, RecallReport, RecallTables
from traceability.pages.recalls.steps import CheckStep, ClassStep, DoneStep, EndStep, NoteStep, TaskStep
from traceability.pages.trace import TraceDrawing, TracePage, TraceTable
from traceability.pages.usage import UsageBook, UsageFile, UsagePage, UsageVarianceFile, UsageVariancePage
from traceability.pages.usage_material import UsageMaterialPage, UsagePostingsPage
from traceability.pages.vertical_audit import VerticalAuditPage, VerticalAuditPdf

urlpatterns = [
    path("lots/<int:lot>/", LotPage.as_view(), name="lot"),
    path("lots/<path:code>/audit/", VerticalAuditPage.as_view(), name="vertical-audit"),
    path("lots/<path:code>/audit.pdf", VerticalAuditPdf.as_view(), name="vertical-audit-pdf"),
    path("lots/<path:code>/postings/", PostingsPage.as_view(), name="lot-postings"),
    path("lots/<path:code>/balance/", BalancePartPage.as_view(), name="lot-balance"),
    path("events/<int:event>/", EventPage.as_view(), name="event"),
    path("trace/", TracePage.as_view(), name="trace"),
    path("trace/drawing.svg", TraceDrawing.as_view(), name="trace-drawing"),
    path("trace/table.csv", TraceTable.as_view(), name="trace-table"),
    path("quality/proof/", ProofPage.as_view(), name="record-proof"),
    path("recalls/", RecallsPage.as_view(), name="recalls"),
    path("recalls/new/", NewRecallPage.as_view(), name="new-recall"),
    path("recalls/<int:recall>/", RecallPage.as_view(), name="recall"),
    path("recalls/<int:recall>/report.pdf", RecallReport.as_view(), name="recall-report"),
    path("recalls/<int:recall>/report.xlsx", RecallBook.as_view(), name="recall-book"),
    path("recalls/<int:recall>/report.zip", RecallTables.as_view(), name="recall-tables"),
    path("recalls/<int:recall>/class/", ClassStep.as_view(), name="recall-class"),
    path("recalls/<int:recall>/check/", CheckStep.as_view(), name="recall-check"),
    path("recalls/<int:recall>/note/", NoteStep.as_view(), name="recall-note"),
    path("recalls/<int:recall>/task/", TaskStep.as_view(), name="recall-task"),
    path("recalls/<int:recall>/end/", EndStep.as_view(), name="recall-end"),
    path("recalls/tasks/<int:task>/done/", DoneStep.as_view(), name="recall-task-done"),
    path("quality/common-cause/", CommonCausePage.as_view(), name="common-cause"),
    path("contamination/", ContaminationPage.as_view(), name="contamination"),
    path("duty/", DutyPage.as_view(), name="duty"),
    path("duty/standings/", DutyStandingsPage.as_view(), name="duty-standings"),
    path("duty/purposes/", DutyPurposesPage.as_view(), name="duty-purposes"),
    path("duty/rates/<str:scheme>/", DutyRatesPage.as_view(), name="duty-rates"),
    path("duty/archives/<int:closing>.zip", DutyArchiveFile.as_view(), name="duty-archive"),
    path("duty/<str:scheme>/<str:first>/<str:last>/", DutyPeriodPage.as_view(), name="duty-period"),
    path("duty/<str:scheme>/<str:first>/<str:last>/record.xlsx", DutyBook.as_view(), name="duty-book"),
    path("duty/<str:scheme>/<str:first>/<str:last>/worksheet.pdf", DutyPaper.as_view(), name="duty-paper"),
    path("duty/<str:scheme>/<str:first>/<str:last>/worksheet/", DutyWorksheetPage.as_view(), name="duty-worksheet"),
    path("duty/<str:scheme>/<str:first>/<str:last>/<str:line>/", DutyPostingsPage.as_view(), name="duty-postings"),
    path("usage/", UsagePage.as_view(), name="usage"),
    path("usage/book.xlsx", UsageBook.as_view(), name="usage-book"),
    path("usage/table.csv", UsageFile.as_view(), name="usage-file"),
    path("usage/sheets/", UsageVariancePage.as_view(), name="usage-variance"),
    path("usage/sheets.csv", UsageVarianceFile.as_view(), name="usage-variance-file"),
    path("usage/<int:material>/", UsageMaterialPage.as_view(), name="usage-material"),
    path("usage/<int:material>/<str:column>/", UsagePostingsPage.as_view(), name="usage-postings"),
    path("holds/", HoldsPage.as_view(), name="holds"),
    path("holds/new/", NewHoldPage.as_view(), name="new-hold"),
    path("holds/<int:hold>/", HoldPage.as_view(), name="hold"),
]
