"""Which rows of the stock and its ledger are sealed, and what of them may still change."""

from brewery.kernel.database.sealed import SealedTable, register

register(
    (
        SealedTable("inventory.Event", "request"),
        SealedTable("inventory.Posting", "event__request"),
        SealedTable("inventory.Link", "event__request", frozenset({"reversed_by_id"})),
        SealedTable("inventory.Lot", "made_by__request", frozenset({"disposition", "counted_micro", "reversed_by_id"})),
        SealedTable("inventory.Contact", "event__request"),
        SealedTable("inventory.Decision", "request"),
        SealedTable("inventory.Certificate", "request"),
        SealedTable("inventory.CertificateValue", "certificate__request"),
        SealedTable("inventory.Specification", "request"),
        SealedTable("inventory.LotCost", "request"),
        SealedTable("inventory.UnitMove", "request"),
        SealedTable("inventory.CountFind", "request"),
        SealedTable("inventory.Warmth", "request"),
        SealedTable("inventory.PartyContact", "request"),
        SealedTable("inventory.MinimumLife", "request"),
        SealedTable("inventory.Cleaning", "request"),
        SealedTable("inventory.ServiceMark", "request"),
        SealedTable("inventory.UncleanFill", "event__request"),
        SealedTable("inventory.AlertStep", "request"),
        SealedTable("inventory.ClimateLimit", "request"),
        SealedTable("inventory.ClimateReading", "request"),
        SealedTable("inventory.ClimateCorrection", "request"),
        SealedTable("inventory.HopRate", "request"),
        SealedTable("inventory.ReorderSetting", "request"),
        SealedTable("inventory.PackChange", "request"),
        SealedTable("inventory.MailWish", "request", later={"without": []}),
    )
)
