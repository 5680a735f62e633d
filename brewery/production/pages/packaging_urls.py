"""The pages below packaging/. Codes may hold a slash."""

from django.urls import path

from brewery.production.pages.packaging.runs import (
    NewRunPage,
    RunDraws,
    RunEnds,
    RunFills,
    RunPage,
    RunReturns,
    RunsPage,
    RunUndos,
)

urlpatterns = [
    path("", RunsPage.as_view(), name="packaging"),
    path("runs/new/", NewRunPage.as_view(), name="new-packaging-run"),
    path("runs/<path:code>/draws/", RunDraws.as_view(), name="packaging-run-draws"),
    path("runs/<path:code>/returns/", RunReturns.as_view(), name="packaging-run-returns"),
    path("runs/<path:code>/fills/", RunFills.as_view(), name="packaging-run-fills"),
    path("runs/<path:code>/undos/", RunUndos.as_view(), name="packaging-run-undos"),
    path("runs/<path:code>/end/", RunEnds.as_view(), name="packaging-run-end"),
    path("runs/<path:code>/", RunPage.as_view(), name="packaging-run"),
]
