"""Addresses of what the record answers."""

from django.urls import path

from traceability.api.allergens import Allergens
from traceability.api.audits import Audits
from traceability.api.common_causes import CommonCauses
from traceability.api.contaminations import Contaminations
from traceability.api.duty import DutyPostings, DutyPurposes, DutyRecords, DutyStandings
from traceability.api.duty_closings import DutyAmendments, DutyArchive, DutyClosings, DutyMissing
from traceability.api.duty_rates import DutyAnswers, DutyRates, DutyWorksheetDocument, DutyWorksheets
from traceability.api.epcis_capture import EpcisCapture
from traceability.api.epcis_captured import EpcisCaptured
from traceability.api.epcis_events import EpcisDocument, EpcisEvents
from traceability.api.holds import HoldPreviews, HoldReleases, Holds, OneHold
from traceability.api.kept_proofs import Findings, KeptProofs
from traceability.api.mass_balances import MassBalances
from traceability.api.proofs import Proofs
from traceability.api.recall_reports import RecallBook, RecallReport, RecallTables
from traceability.api.recall_work import (
    RecallChecks,
    RecallClasses,
    RecallClosings,
    RecallNotes,
    RecallTaskEnds,
    RecallTasks,
)
from traceability.api.recalls import OneRecall, Recalls
from traceability.api.trace_searches import TraceSearches
from traceability.api.traces import Traces
from traceability.api.usage import UsagePostings, Usages, UsageVariances
from traceability.api.vertical_audits import VerticalAuditDocument, VerticalAudits

urlpatterns = [
    path("traces/", Traces.as_view(), name="api-traces"),
    path("mass-balances/", MassBalances.as_view(), name="api-mass-balances"),
    path("common-causes/", CommonCauses.as_view(), name="api-common-causes"),
    path("allergens/", Allergens.as_view(), name="api-allergens"),
    path("contaminations/", Contaminations.as_view(), name="api-contaminations"),
    path("holds/", Holds.as_view(), name="api-holds"),
    path("holds/<int:pk>/", OneHold.as_view(), name="api-hold"),
    path("hold-previews/", HoldPreviews.as_view(), name="api-hold-previews"),
    path("hold-releases/", HoldReleases.as_view(), name="api-hold-releases"),
    path("recalls/", Recalls.as_view(), name="api-recalls"),
    path("recalls/<int:pk>/", OneRecall.as_view(), name="api-recall"),
    path("recalls/<int:pk>/report/document/", RecallReport.as_view(), name="api-recall-report"),
    path("recalls/<int:pk>/report/workbook/", RecallBook.as_view(), name="api-recall-book"),
    path("recalls/<int:pk>/report/tables/", RecallTables.as_view(), name="api-recall-tables"),
    path("recall-classes/", RecallClasses.as_view(), name="api-recall-classes"),
    path("recall-checks/", RecallChecks.as_view(), name="api-recall-checks"),
    path("recall-notes/", RecallNotes.as_view(), name="api-recall-notes"),
    path("recall-tasks/", RecallTasks.as_view(), name="api-recall-tasks"),
    path("recall-task-ends/", RecallTaskEnds.as_view(), name="api-recall-task-ends"),
    path("recall-closings/", RecallClosings.as_view(), name="api-recall-closings"),
    path("epcis/events/", EpcisEvents.as_view(), name="api-epcis-events"),
    path("epcis/capture/", EpcisCapture.as_view(), name="api-epcis-capture"),
    path("epcis/captured-events/", EpcisCaptured.as_view(), name="api-epcis-captured-events"),
    path("epcis/document/", EpcisDocument.as_view(), name="api-epcis-document"),
    path("duty-records/", DutyRecords.as_view(), name="api-duty-records"),
    path("duty-postings/", DutyPostings.as_view(), name="api-duty-postings"),
    path("duty-standings/", DutyStandings.as_view(), name="api-duty-standings"),
    path("duty-purposes/", DutyPurposes.as_view(), name="api-duty-purposes"),
    path("duty-missing/", DutyMissing.as_view(), name="api-duty-missing"),
    path("duty-closings/", DutyClosings.as_view(), name="api-duty-closings"),
    path("duty-closings/<int:pk>/archive/", DutyArchive.as_view(), name="api-duty-archive"),
    path("duty-amendments/", DutyAmendments.as_view(), name="api-duty-amendments"),
    path("duty-rates/", DutyRates.as_view(), name="api-duty-rates"),
    path("duty-answers/", DutyAnswers.as_view(), name="api-duty-answers"),
    path("duty-worksheets/", DutyWorksheets.as_view(), name="api-duty-worksheets"),
    path("duty-worksheets/document/", DutyWorksheetDocument.as_view(), name="api-duty-worksheet-document"),
    path("usage/", Usages.as_view(), name="api-usage"),
    path("usage-postings/", UsagePostings.as_view(), name="api-usage-postings"),
    path("usage-variances/", UsageVariances.as_view(), name="api-usage-variances"),
    path("proofs/", Proofs.as_view(), name="api-proofs"),
    path("kept-proofs/", KeptProofs.as_view(), name="api-kept-proofs"),
    path("findings/", Findings.as_view(), name="api-findings"),
    path("audits/", Audits.as_view(), name="api-audits"),
    path("trace-searches/", TraceSearches.as_view(), name="api-trace-searches"),
    path("vertical-audits/", VerticalAudits.as_view(), name="api-vertical-audits"),
    path("vertical-audits/document/", VerticalAuditDocument.as_view(), name="api-vertical-audit-document"),
]
