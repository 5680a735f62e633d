"""Which rows of brewing and packaging are sealed."""

from brewery.kernel.database.sealed import SealedTable, register

register(
    (
        SealedTable("production.Brew", "request"),
        SealedTable("production.PackagingRun", "request"),
        SealedTable("production.LogEntry", "request"),
        SealedTable("production.Substitution", "event__request"),
        SealedTable("production.TankReading", "request"),
    )
)
