"""Which rows of brewing, packaging and dispatch are sealed."""

from brewery.kernel.database.sealed import SealedTable, register

register(
    (
        SealedTable("production.Brew", "request"),
        SealedTable("production.PackagingRun", "request"),
        SealedTable("production.LogEntry", "request"),
        SealedTable("production.Substitution", "event__request"),
        SealedTable("production.TankReading", "request"),
        SealedTable("production.Shipment", "event__request"),
        SealedTable("production.CustomerReturn", "event__request"),
        SealedTable("production.ReturnOutcome", "event__request"),
        SealedTable("production.PackagingFill", "event__request"),
        SealedTable("production.FilledTank", "fill__event__request"),
        SealedTable("production.RunFinish", "event__request"),
        SealedTable("production.PackagingRule", "request"),
        SealedTable("production.RetainedSample", "event__request"),
        SealedTable("production.SampleDisposal", "event__request"),
        SealedTable("production.StrainSetting", "request"),
    )
)
