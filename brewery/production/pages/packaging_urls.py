"""The pages below packaging/. Codes may hold a slash."""

from django.urls import path

from brewery.production.pages.packaging.rules import NewRulePage, RulePreview, RulesPage
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
from brewery.production.pages.packaging.samples import DiscardPage, NewSamplePage, SamplesPage

urlpatterns = [
    path("", RunsPage.as_view(), name="packaging"),
    path("rules/", RulesPage.as_view(), name="packaging-rules"),
    path("rules/new/", NewRulePage.as_view(), name="new-packaging-rule"),
    path("rules/preview/", RulePreview.as_view(), name="packaging-rule-preview"),
    path("samples/", SamplesPage.as_view(), name="retained-samples"),
    path("samples/new/", NewSamplePage.as_view(), name="new-retained-sample"),
    path("samples/<int:sample>/", DiscardPage.as_view(), name="retained-sample"),
    path("runs/new/", NewRunPage.as_view(), name="new-packaging-run"),
    path("runs/<path:code>/draws/", RunDraws.as_view(), name="packaging-run-draws"),
    path("runs/<path:code>/returns/", RunReturns.as_view(), name="packaging-run-returns"),
    path("runs/<path:code>/fills/", RunFills.as_view(), name="packaging-run-fills"),
    path("runs/<path:code>/undos/", RunUndos.as_view(), name="packaging-run-undos"),
    path("runs/<path:code>/end/", RunEnds.as_view(), name="packaging-run-end"),
    path("runs/<path:code>/", RunPage.as_view(), name="packaging-run"),
]
