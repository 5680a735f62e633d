"""The statement of stock that every authority wants: what was there, came, went and is there, in hectolitres.

For schemes whose return asks for taxed quantities by class alone; the lines stand below it, and must close.
"""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from brewery.science.duty.movements import ADDITIONS, BETWEEN_PLACES, REMOVALS, Kind, Movement, Place
from brewery.science.duty.rounding import half_up
from brewery.science.duty.schemes import Account, Check, Column, Line
from brewery.science.units import MICRO

QUANTITY, RATE, AMOUNT = "quantity", "rate", "amount"
PLACES = 4
"""Hectolitres to the centilitre: finer than any meter reads."""

_WORDS = {
    Kind.PRODUCED: "Produced",
    Kind.WATER_ADDED: "Water added",
    Kind.RECEIVED_IN_BOND: "Received in bond",
    Kind.RETURNED: "Returned",
    Kind.RETURNED_ELSEWHERE: "Returned after removal from other premises",
    Kind.SURPLUS: "Surplus found at counts",
    Kind.REMOVED: "Removed for consumption or sale",
    Kind.REMOVED_TO_TAVERN: "Removed to the tasting room",
    Kind.EXPORTED: "Exported",
    Kind.SUPPLIED: "Removed as supplies of ships and aircraft",
    Kind.RESEARCHED: "Removed for research or testing",
    Kind.TO_OTHER_PREMISES: "Removed in bond to other premises",
    Kind.UNFIT: "Unfit, removed for manufacturing",
    Kind.GIVEN_FREE: "Given to staff free of duty",
    Kind.CONSUMED: "Consumed on the premises",
    Kind.SAMPLED: "Taken as samples",
    Kind.DESTROYED: "Destroyed",
    Kind.LOST: "Lost by known cause",
    Kind.SHORTAGE: "Missing at counts",
}


def taxed_columns(unit: str, currency: str) -> tuple[Column, ...]:
    """Return the columns of a return by class: quantity, what one unit of it costs, and the duty."""
    return (
        Column(QUANTITY, f"Quantity, {unit}"),
        Column(RATE, f"{currency} for each"),
        Column(AMOUNT, f"Duty, {currency}"),
    )


def hectolitres(movements: Sequence[Movement], kinds: frozenset[Kind]) -> Fraction:
    """Return the hectolitres of the movements of those kinds, exactly."""
    return sum((one.volume_hl for one in movements if one.kind in kinds), Fraction(0))


def statement_lines(account: Account) -> Iterator[Line]:
    """Yield what was there, each way in and out that was used, and what is there."""
    opening = sum(account.opening.values(), Decimal(0))
    yield _line("S0", "On hand at the beginning", opening)
    for number, kind in enumerate((kind for kind in Kind if kind in _WORDS), 1):
        quantity = hectolitres(account.movements, frozenset({kind}))
        if quantity:
            yield _line(f"S{number}", _WORDS[kind], half_up(quantity, PLACES))
    yield _line("S99", "On hand at the end", sum(closing_of(account).values(), Decimal(0)))


def _line(number: str, label: str, quantity: Decimal) -> Line:
    return Line(number, label, {QUANTITY: quantity}, "In hL; no line of the return.")


def closing_of(account: Account) -> Mapping[Place, Decimal]:
    """Return the hectolitres on hand at the end, by place: as counted, otherwise as they follow."""
    if account.counted is not None:
        return account.counted
    return {place: half_up(quantity, PLACES) for place, quantity in _follows(account).items()}


def on_hand_hl(volume_micro_l: int) -> Decimal:
    """Return a volume in hectolitres with the decimals of the statement."""
    return half_up(Fraction(volume_micro_l, 100 * MICRO), PLACES)


def _follows(account: Account) -> dict[Place, Fraction]:
    found = {place: Fraction(quantity) for place, quantity in account.opening.items()}
    for one in account.movements:
        if one.kind in BETWEEN_PLACES:
            continue
        sign = 1 if one.kind in ADDITIONS else -1
        found[one.place] = found.get(one.place, Fraction(0)) + sign * one.volume_hl
    return found


def statement_check(account: Account) -> Check:
    """Return whether what was there, came and went leaves what is there; a count differs by its surplus or shortage."""
    opening = sum((Fraction(one) for one in account.opening.values()), Fraction(0))
    came, went = hectolitres(account.movements, ADDITIONS), hectolitres(account.movements, REMOVALS)
    closing = sum((Fraction(one) for one in closing_of(account).values()), Fraction(0))
    off = half_up(opening + came - went - closing, PLACES)
    words = f"What was there and came, less what went, is {off} hL more than what is there."
    return Check("statement", abs(off) < Decimal("0.001"), words if off else "The statement of stock closes.")
