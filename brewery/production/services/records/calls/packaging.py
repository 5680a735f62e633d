"""Packaging: what runs filled, by which rules it is called, and what is kept of it."""

from brewery.production.services.packaging import package
from brewery.production.services.packaging_rules import set_packaging_rule
from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, micro_if_given
from brewery.production.services.records.rows import Record
from brewery.production.services.retained_samples import retain_sample, throw_away_sample
from brewery.science.lot_patterns import Span
from brewery.science.units import BaseUnit


def packaging(record: Record, codes: Codes) -> Call:
    """Packaged beer lies in the store."""
    row = record.rows[0]
    content = {
        "run": codes.run(row, "run"),
        "vessel": codes.location(row, "vessel"),
        "material": codes.material(row, "material"),
        "packaged_code": row["packaged_lot"],
        "count": row["count"],
        "loss_micro": micro_if_given(row, "loss", "loss_unit", BaseUnit.L) or 0,
        "location": codes.location(row, "location"),
        "best_before": row["best_before"],
        "happened_at": record.happened_at,
    }
    return Call(package, content)


def rule(record: Record, codes: Codes) -> Call:
    """Lots of a packaged material, or of all, are coded and dated so from a day on."""
    row = record.rows[0]
    content = {
        "material": codes.material(row, "material") if row["material"] else None,
        "pattern": row["pattern"],
        "has_l_prefix": row["l_prefix"] == "yes",
        "life": row["life"],
        "life_in": row["life_in"] or Span.DAYS.value,
        "to_months_end": row["to_months_end"] == "yes",
        "in_force_from": row["in_force_from"],
    }
    return Call(set_packaging_rule, content)


def retained_sample(record: Record, codes: Codes) -> Call:
    """Some of a packaged lot are kept on a shelf of the laboratory until a day."""
    row = record.rows[0]
    content = {
        "lot": codes.lot(row, "lot"),
        "from_location": codes.location(row, "location"),
        "location": codes.location(row, "laboratory"),
        "shelf": row["shelf"] or "",
        "count": row["count"],
        "keep_until": row["keep_until"],
        "happened_at": record.happened_at,
    }
    return Call(retain_sample, content)


def sample_disposal(record: Record, codes: Codes) -> Call:
    """A retained sample is thrown away."""
    row = record.rows[0]
    content = {
        "sample": codes.retained_sample(row, "retained_sample"),
        "reason": row["reason"] or "",
        "happened_at": record.happened_at,
    }
    return Call(throw_away_sample, content)
