"""The quarterly brewer's report of operations, TTB F 5130.26, Part 1: one column, in its own order.

Source: vdocuments.mx, TTB F 5130.26sm (10/2014). What comes after line 17 was not found.
"""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from brewery.science.duty.american_cells import TAXED, ZERO, cells
from brewery.science.duty.american_report import TOTAL
from brewery.science.duty.movements import Kind
from brewery.science.duty.schemes import Account, Check, Column, Line

COLUMNS = (Column(TOTAL, "Number of barrels"),)
_WITHOUT_TAX = (Kind.EXPORTED, Kind.SUPPLIED, Kind.RESEARCHED, Kind.TO_OTHER_PREMISES, Kind.UNFIT)
_BEFORE, _AFTER = ("2", "3", "4", "5"), ("10", "11", "12", "13", "14", "15")
KINDS: dict[str, tuple[str, tuple[Kind, ...]]] = {
    "2": ("Produced by fermentation, and water or other liquids added", (Kind.PRODUCED, Kind.WATER_ADDED)),
    "3": ("Received in bond", (Kind.RECEIVED_IN_BOND,)),
    "4": ("Returned after removal", (Kind.RETURNED, Kind.RETURNED_ELSEWHERE)),
    "5": ("Overage found by physical inventory", (Kind.SURPLUS,)),
    "10": ("Removed for consumption or sale, the tavern included", tuple(sorted(TAXED))),
    "11": ("Removed without payment of tax", _WITHOUT_TAX),
    "12": ("Consumed on the premises", (Kind.CONSUMED, Kind.GIVEN_FREE, Kind.SAMPLED)),
    "13": ("Destroyed on the premises", (Kind.DESTROYED,)),
    "14": ("Losses, including theft", (Kind.LOST,)),
    "15": ("Shortage found by physical inventory", (Kind.SHORTAGE,)),
}
_NOTES = {
    "9": "Additions of an earlier period that were entered in this one.",
    "12": "Where laboratory samples belong was not found; they are counted here.",
}


def quarter_lines(account: Account) -> tuple[Line, ...]:
    """Return the lines of Part 1, barrels to two decimals; line 17 is what was counted, otherwise what must be there.

    An addition of a day before the quarter is a late entry and stands on line 9.
    """
    late = [movement for movement in account.movements if movement.day < account.start]
    own = replace(account, movements=[movement for movement in account.movements if movement.day >= account.start])
    opening = sum(account.opening.values(), ZERO)
    additions = [_of(own, number) for number in _BEFORE]
    total = opening + sum(additions, ZERO)
    adjustment = sum((_of(replace(account, movements=late), number) for number in _BEFORE), ZERO)
    removals = [_of(account, number) for number in _AFTER]
    end = total + adjustment - sum(removals, ZERO)
    counted = end if account.counted is None else sum(account.counted.values(), ZERO)
    return (
        _line("1", "On hand, beginning of quarter", opening),
        *(_line(number, KINDS[number][0], barrels) for number, barrels in zip(_BEFORE, additions, strict=True)),
        _line("6", "(blank)", ZERO),
        _line("7", "(blank)", ZERO),
        _line("8", "Total additions, and on hand", total),
        _line("9", "Adjustments to additions from a prior period", adjustment),
        *(_line(number, KINDS[number][0], barrels) for number, barrels in zip(_AFTER, removals, strict=True)),
        _line("16", "(blank)", ZERO),
        _line("17", "On hand, end of quarter", counted),
    )


def quarter_checks(account: Account, lines: Sequence[Line]) -> tuple[Check, ...]:
    """Return whether line 1 was carried on, line 8 is the sum above it, and line 17 what the lines leave."""
    at = {line.number: line.cells[TOTAL] for line in lines}
    before = sum(account.opening.values(), ZERO)
    above = at["1"] + sum((at[number] for number in (*_BEFORE, "6", "7")), ZERO)
    left = at["8"] + at["9"] - sum((at[number] for number in (*_AFTER, "16")), ZERO)
    return (
        _check("1", "Line 1 is the end of the period before", at["1"], before),
        _check("8", "Line 8 is the sum of lines 1 to 7", at["8"], above),
        _check("17", "Line 17 is lines 8 and 9 less 10 to 16", at["17"], left),
    )


def _of(account: Account, number: str) -> Decimal:
    return sum(cells(account.movements, KINDS[number][1]).values(), ZERO)


def _line(number: str, label: str, barrels: Decimal) -> Line:
    return Line(number, label, {TOTAL: barrels}, _NOTES.get(number, ""))


def _check(key: str, rule: str, told: Decimal, must_be: Decimal) -> Check:
    agrees = told == must_be
    return Check(key, agrees, f"{rule}." if agrees else f"{rule}: it is {told}, must be {must_be}.")
