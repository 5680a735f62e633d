"""Limits: whether a measured value keeps to what is asked, told strictly.

A value with a bound stands for every figure that it may be: "< 0.1" for all below 0.1, down to the least that the
property can be. It keeps a limit only where all of them do: "< 0.1" cannot be shown to be at most 0.05.
"""

import enum

from brewery.science.properties import Property, Reading, plain, with_unit, written


class Verdict(enum.StrEnum):
    """What is to be said of one value."""

    KEPT = "within limits"
    BROKEN = "out of limits"
    NOT_SHOWN = "not shown to be within limits"
    MISSING = "not stated"


def judge(measured: Property, reading: Reading, least_micro: int | None, most_micro: int | None) -> Verdict:
    """Return whether the value keeps the limits, both inclusive; a word keeps them unless it says that it failed."""
    if reading.value_micro is None:
        return Verdict.BROKEN if reading.text in measured.fails else Verdict.KEPT
    low, high = (
        measured.least_micro if reading.bound == "<" else reading.value_micro,
        measured.most_micro if reading.bound == ">" else reading.value_micro,
    )
    # A bound itself is no figure that the value may be, unless nothing else is left.
    all_below = least_micro is not None and (high < least_micro or (high == least_micro and reading.bound == "<"))
    all_above = most_micro is not None and (low > most_micro or (low == most_micro and reading.bound == ">"))
    if all_below or all_above:
        return Verdict.BROKEN
    if (least_micro is None or low >= least_micro) and (most_micro is None or high <= most_micro):
        return Verdict.KEPT
    return Verdict.NOT_SHOWN


def in_words(measured: Property, least_micro: int | None, most_micro: int | None) -> str:
    """Return the limits for people: "at most 5 %", "9 to 12 %", "must be stated"."""
    if least_micro is None and most_micro is None:
        return "must be stated"
    if least_micro is None:
        return with_unit(f"at most {plain(most_micro or 0)}", measured)
    if most_micro is None:
        return with_unit(f"at least {plain(least_micro)}", measured)
    return with_unit(f"{plain(least_micro)} to {plain(most_micro)}", measured)


def fault_in_words(measured: Property, reading: Reading | None, verdict: Verdict, limits: str) -> str:
    """Return what is wrong with a value in a sentence without its stop."""
    if reading is None:
        return f"{measured.label} is not stated"
    if reading.value_micro is None:
        return f"{measured.label}: {reading.text}"
    figure = with_unit(written(reading), measured)
    if verdict is Verdict.NOT_SHOWN:
        return f"{measured.label} {figure} cannot be shown to be {limits}"
    return f"{measured.label} {figure} is not {limits}"
