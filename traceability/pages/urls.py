"""The pages of the record's answers."""

from django.urls import path

from traceability.pages.lot import LotPage
from traceability.pages.trace import TraceDrawing, TracePage, TraceTable

urlpatterns = [
    path("lots/<int:lot>/", LotPage.as_view(), name="lot"),
    path("trace/", TracePage.as_view(), name="trace"),
    path("trace/drawing.svg", TraceDrawing.as_view(), name="trace-drawing"),
    path("trace/table.csv", TraceTable.as_view(), name="trace-table"),
]
