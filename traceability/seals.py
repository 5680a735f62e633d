"""Which rows of holds are sealed, and what of them may still change."""

from brewery.kernel.database.sealed import SealedTable, register

register(
    (
        SealedTable("traceability.Hold", "request"),
        SealedTable("traceability.HoldRelease", "request"),
        SealedTable("traceability.HeldLot", "request", frozenset({"released_by_id"})),
    )
)
