"""Strength: how far the alcohol on a label may be from the alcohol in the beer, which must be measured."""

from brewery.science.ranges import Range

ALCOHOL_PCT = Range(0, 100, "% vol", "Write alcohol by volume.")


def label_tolerance_pct(alcohol_by_volume_pct: float) -> float:
    """Return the room in % vol on either side: 0.5 up to 5.5 % vol, 1.0 above (the latter from memory).

    Regulation (EU) 1169/2011, annex XII, as told by ptasia.biz 0538; the local code has the last word. Raises
    OutOfRange.
    """
    ALCOHOL_PCT.check("alcohol_by_volume_pct", alcohol_by_volume_pct)
    return 0.5 if alcohol_by_volume_pct <= 5.5 else 1.0


def keeps_label(measured_pct: float, label_pct: float) -> bool:
    """Return whether a measured strength keeps what the label says, both in % vol. Raises OutOfRange."""
    ALCOHOL_PCT.check("measured_pct", measured_pct)
    ALCOHOL_PCT.check("label_pct", label_pct)
    return abs(measured_pct - label_pct) <= label_tolerance_pct(label_pct) + 1e-9
