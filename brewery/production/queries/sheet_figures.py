"""One figure of a brew to come, with its reason."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Prediction:
    """One figure: what is expected, or None with the reason why; its interval; and what the sheet wants."""

    key: str
    label: str
    unit: str
    value: float | None
    reason: str
    low: float | None = None
    high: float | None = None
    target: float | None = None
