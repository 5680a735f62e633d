"""The pages of the record's answers."""

from django.urls import path

from traceability.pages.event import EventPage
from traceability.pages.holds.contamination import ContaminationPage
from traceability.pages.holds.overview import HoldPage, HoldsPage
from traceability.pages.holds.placing import NewHoldPage
from traceability.pages.lot import LotPage
from traceability.pages.trace import TraceDrawing, TracePage, TraceTable
from traceability.pages.vertical_audit import VerticalAuditPage, VerticalAuditPdf

urlpatterns = [
    path("lots/<int:lot>/", LotPage.as_view(), name="lot"),
    path("lots/<path:code>/audit/", VerticalAuditPage.as_view(), name="vertical-audit"),
    path("lots/<path:code>/audit.pdf", VerticalAuditPdf.as_view(), name="vertical-audit-pdf"),
    path("events/<int:event>/", EventPage.as_view(), name="event"),
    path("trace/", TracePage.as_view(), name="trace"),
    path("trace/drawing.svg", TraceDrawing.as_view(), name="trace-drawing"),
    path("trace/table.csv", TraceTable.as_view(), name="trace-table"),
    path("contamination/", ContaminationPage.as_view(), name="contamination"),
    path("holds/", HoldsPage.as_view(), name="holds"),
    path("holds/new/", NewHoldPage.as_view(), name="new-hold"),
    path("holds/<int:hold>/", HoldPage.as_view(), name="hold"),
]
