"""Extract of malt: the same figure of the malt as it is and of its dry matter."""

PLACES_ROUNDED = 0.2
"""How far the two may lie apart in points: both and the moisture are told to a tenth (common practice, no source)."""


def as_is_from_dry(dry_pct: float, moisture_pct: float) -> float:
    """Return the extract of the malt as it is, in %: dry basis x (1 - moisture / 100)."""
    return dry_pct * (1 - moisture_pct / 100)


def dry_from_as_is(as_is_pct: float, moisture_pct: float) -> float:
    """Return the extract of the dry matter, in %: as-is x 100 / (100 - moisture). Source: as quoted on jimsbeerkit."""
    return as_is_pct * 100 / (100 - moisture_pct)


def basis_doubt(as_is_pct: float, dry_pct: float, moisture_pct: float) -> str:
    """Return why the three figures of one certificate cannot all be right, or nothing where they agree."""
    expected = as_is_from_dry(dry_pct, moisture_pct)
    if abs(expected - as_is_pct) <= PLACES_ROUNDED:
        return ""
    return (
        f"Extract of {dry_pct:g} % dry basis at {moisture_pct:g} % moisture is {expected:.1f} % as-is; the certificate "
        f"says {as_is_pct:g} %. Look up which of the three is written wrongly."
    )
