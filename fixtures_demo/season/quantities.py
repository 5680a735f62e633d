"""Quantities of the season: whole thousandths of a base unit (gram, millilitre, thousandth of an each)."""

KG = 1000
L = 1000
HL = 100 * L
EACH = 1000
TONNE = 1000 * KG

THOUSANDTHS = {"kg": KG, "g": 1, "t": TONNE, "L": L, "mL": 1, "hL": HL, "each": EACH}


def written(amount: int, unit: str) -> str:
    """The amount as a plain decimal of at most three places in `unit`, exactly. Raises ValueError where it is not."""
    whole, rest = divmod(abs(amount) * 1000, THOUSANDTHS[unit])
    if rest or amount < 0:
        raise ValueError(f"{amount} thousandths cannot be written in {unit} with three decimals")
    digits = f"{whole // 1000}.{whole % 1000:03d}".rstrip("0").rstrip(".")
    return digits


def rounded(amount: float, step: int) -> int:
    """The multiple of `step` that is nearest to the amount."""
    return int(amount / step + 0.5) * step
