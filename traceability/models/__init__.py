"""What is kept about whole families of lots (holds, recalls), what proofs found, and what duty is told."""

from traceability.models.duty import BondedLot, DutyClosing, DutyPurpose, DutyStanding
from traceability.models.duty_rates import DutyFacts, DutyRate
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
    "BondedLot",
    "CapturedDocument",
    "CapturedEvent",
    "CapturedThing",
    "DutyClosing",
    "DutyFacts",
    "DutyPurpose",
    "DutyRate",
    "DutyStanding",
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
