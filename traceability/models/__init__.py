"""What quality keeps about whole families of lots (holds, recalls), and what proofs of the whole record found."""

from traceability.models.epcis import CapturedDocument, CapturedEvent, CapturedThing
from traceability.models.holds import HeldLot, Hold, HoldRelease
from traceability.models.proofs import Finding, FindingEnd, RecordProof
from traceability.models.recalls import (
    Recall,
    RecallCheck,
    RecallCheckLot,
    RecallClass,
    RecallClosing,
    RecallNote,
    RecallSubject,
    RecallTask,
    RecallTaskDone,
)

__all__ = [
    "CapturedDocument",
    "CapturedEvent",
    "CapturedThing",
    "Finding",
    "FindingEnd",
    "HeldLot",
    "Hold",
    "HoldRelease",
    "Recall",
    "RecallCheck",
    "RecallCheckLot",
    "RecallClass",
    "RecallClosing",
    "RecallNote",
    "RecallSubject",
    "RecallTask",
    "RecallTaskDone",
    "RecordProof",
]
