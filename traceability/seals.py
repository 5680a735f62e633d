"""Which rows of holds, recalls and duty are sealed, and what of them may still change."""

from brewery.kernel.database.sealed import SealedTable, register

register(
    (
        SealedTable("traceability.Hold", "request"),
        SealedTable("traceability.HoldRelease", "request"),
        SealedTable("traceability.HeldLot", "request", frozenset({"released_by_id"})),
        SealedTable("traceability.CapturedDocument", "request"),
        SealedTable("traceability.CapturedEvent", "document__request"),
        SealedTable("traceability.CapturedThing", "event__document__request"),
        SealedTable("traceability.DutyStanding", "request"),
        SealedTable("traceability.DutyPurpose", "request"),
        SealedTable("traceability.DutyClosing", "request", later={"last_event_id": None}),
        SealedTable("traceability.BondedLot", "closing__request"),
        SealedTable("traceability.DutyRate", "request"),
        SealedTable("traceability.DutyFacts", "request"),
        SealedTable("traceability.Recall", "request"),
        SealedTable("traceability.RecallSubject", "recall__request"),
        SealedTable("traceability.RecallClass", "request"),
        SealedTable("traceability.RecallNote", "request"),
        SealedTable("traceability.RecallTask", "request"),
        SealedTable("traceability.RecallTaskDone", "request"),
        SealedTable("traceability.RecallCheck", "request"),
        SealedTable("traceability.RecallCheckLot", "check_made__request"),
        SealedTable("traceability.RecallClosing", "request"),
    )
)
