"""What quality keeps about whole families of lots: holds on a lot and all that comes of it, and recalls."""

from traceability.models.holds import HeldLot, Hold, HoldRelease
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
]
