"""The United Kingdom: duty on litres of pure alcohol, with less for draught beer and for small producers.

Finance (No. 2) Act 2023 as told by gov.uk and the pages named at each rate. The discount of a small producer is
rounded up to the penny for one litre of alcohol; how litres are rounded in the return no source said.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from brewery.science.duty.movements import Kind, Movement, Place
from brewery.science.duty.periods import day_of_month_after
from brewery.science.duty.questions import Facts, Question, number, yes
from brewery.science.duty.rates import Rate, RateBook
from brewery.science.duty.rounding import half_up, up
from brewery.science.duty.schemes import Account, Check, Column, Duty, LateEntry, Line, Part, PeriodKind
from brewery.science.duty.statement import (
    AMOUNT,
    QUANTITY,
    RATE,
    closing_of,
    on_hand_hl,
    statement_check,
    statement_lines,
    taxed_columns,
)
from brewery.science.ranges import OutOfRange
from brewery.science.units import MICRO

TAXED = frozenset({Kind.REMOVED, Kind.REMOVED_TO_TAVERN, Kind.CONSUMED, Kind.SHORTAGE})
"""A deficiency that nobody explains is taxed."""
CREDITED = frozenset({Kind.RETURNED, Kind.RETURNED_ELSEWHERE})
DRAUGHT_LEAST_MICRO_L = 20 * MICRO
"""A container of 20 litres or more that is made to be connected to a dispense system."""
SMALL_HL = Decimal(4_500)
"""Hectolitres of pure alcohol in the production year before, from 1 February to 31 January."""

_STARTS = (date(2023, 8, 1), date(2025, 2, 1), date(2026, 2, 1))
_ENDS = (date(2025, 1, 31), date(2026, 1, 31), None)
_SOURCES = (
    "obr.uk and pinsentmasons.com, rates of August 2023",
    "gov.uk, rates of February 2025",
    "rates of February 2026 as proposed, told as in force by guides to small producer relief",
)
_GBP = "GBP/L of alcohol"


def _dated(key: str, *figures: str | None) -> Iterator[Rate]:
    for start, end, source, figure in zip(_STARTS, _ENDS, _SOURCES, figures, strict=True):
        yield Rate("uk", key, None if figure is None else Decimal(figure), _GBP, start, end, source)


_BANDS: Mapping[str, tuple[tuple[str, tuple[str | None, str | None], tuple[str | None, str | None]], ...]] = {
    "standard": (
        ("0", ("19.94", "20.67"), ("0", "0")),
        ("5", ("11.08", "11.48"), ("99.68", "103.34")),
        ("112.5", ("9.97", "10.33"), (None, None)),
        ("225", (None, None), (None, None)),
    ),
    "low": (
        ("0", ("9.61", "9.96"), ("0", "0")),
        ("5", ("2.44", "2.53"), ("48.05", "49.80")),
        ("50", ("1.47", "1.52"), ("157.99", "163.74")),
        ("100", ("0.49", "0.51"), ("231.28", "239.71")),
        ("200", ("0", "0"), ("280.15", "290.35")),
        ("1000", ("-0.08", "-0.08"), ("280.15", "290.35")),
    ),
    "draught": (("0", (None, None), (None, None)),),
    "draught_low": (("0", (None, None), (None, None)),),
}
"""By class the start of each band in hL of alcohol, and its marginal discount and sum below it, of 2025 and 2026."""

RATES = (
    *_dated("free", "0", "0", "0"),
    *_dated("low", "9.27", "9.61", "9.96"),
    *_dated("standard", "21.01", "21.78", "22.58"),
    *_dated("high", "28.50", "29.54", "30.62"),
    *_dated("draught_low", "8.42", "8.28", "8.58"),
    *_dated("draught", "19.08", "18.76", "19.45"),
    *(
        row
        for key, bands in _BANDS.items()
        for start, marginal, below in bands
        for name, figures in (("m", marginal), ("c", below))
        for row in _dated(f"small_{key}_{start}_{name}", None, *figures)
    ),
)
_WORDS = {
    "free": "not over 1.2 %",
    "low": "above 1.2 and below 3.5 %",
    "standard": "3.5 to below 8.5 %",
    "high": "8.5 to 22 %",
    "draught_low": "draught, below 3.5 %",
    "draught": "draught, 3.5 to below 8.5 %",
}
_QUESTIONS = (
    Question(
        "alcohol_hl",
        "How many hL of pure alcohol did the premises and their group make in the production year before?",
        "hL",
        None,
    ),
    Question("is_small", "Does small producer relief apply: own products, not made under licence?", None, False),
)


def litres_of_alcohol(volume_l: Fraction, alcohol_pct: Fraction) -> Fraction:
    """Return the litres of pure alcohol in so much beer, exactly."""
    return volume_l * alcohol_pct / 100


def rate_class(alcohol_pct: Fraction, *, is_draught: bool) -> str:
    """Return the key of the rate for a strength. Raises OutOfRange above 22 %, which is no beer of these rates."""
    if alcohol_pct <= Fraction(6, 5):
        return "free"
    if alcohol_pct < Fraction(7, 2):
        return "draught_low" if is_draught else "low"
    if alcohol_pct < Fraction(17, 2):
        return "draught" if is_draught else "standard"
    if alcohol_pct > 22:
        raise OutOfRange("alcohol", float(alcohol_pct), "Above 22 % vol other rates hold: ask the authority.")
    return "high"


def small_discount(key: str, made_hl: Decimal, rates: RateBook, day: date) -> Decimal:
    """Return what a small producer pays less for a litre of alcohol: (C + M × (A - S)) / A, up to the penny.

    Nothing for what is not below 8.5 %, or of a producer above 4,500 hL. Raises OutOfRange where a band was not found.
    """
    if key not in _BANDS or not 0 < made_hl <= SMALL_HL:
        return Decimal(0)
    start = max((Decimal(start) for start, _, _ in _BANDS[key] if Decimal(start) < made_hl), default=Decimal(0))
    band = f"small_{key}_{start}"
    exact = (
        Fraction(rates.on(f"{band}_c", day)) + Fraction(rates.on(f"{band}_m", day)) * Fraction(made_hl - start)
    ) / Fraction(made_hl)
    return up(exact, 2)


class UnitedKingdom:
    """The duty, with the return by class of strength and a statement of stock below it."""

    key = "uk"
    name = "United Kingdom, Alcohol Duty return"
    currency = "GBP"
    unit = "L of alcohol"
    period_kinds: tuple[PeriodKind, ...] = (PeriodKind.MONTH,)
    columns: tuple[Column, ...] = taxed_columns("L of alcohol", "GBP")
    taxed = TAXED
    credited = CREDITED
    rounding = (
        "The discount of a small producer is rounded up to the penny for one litre of alcohol; the duty of a class to "
        "the penny, the half up, and litres to 2 decimals (those two are ours: no source)."
    )
    late_entry: LateEntry = LateEntry.AMENDMENT
    counts_the_year = False
    strengths: tuple[str, ...] = ("alcohol",)
    questions: tuple[Question, ...] = _QUESTIONS
    rates: tuple[Rate, ...] = RATES

    def due_on(self, end: date) -> date | None:
        """Return the fifteenth day of the month after: from memory."""
        return day_of_month_after(end, 15)

    def quantity(self, movements: Sequence[Movement]) -> Decimal:
        """Return the litres of pure alcohol taxed less those returned."""
        return half_up(sum((alcohol for _, _, alcohol in _alcohols(movements)), Fraction(0)), 2)

    def duty(self, movements: Sequence[Movement], rates: RateBook, so_far: Decimal, facts: Facts) -> Duty:
        """Return the duty, class by class. Raises OutOfRange for beer whose strength was not measured."""
        parts = tuple(self._parts(movements, rates, facts))
        amount = sum((half_up(part.amount, 2) for part in parts), Decimal(0))
        return Duty(self.quantity(movements), self.unit, amount, self.currency, parts, tuple(_notes(movements)))

    def _parts(self, movements: Sequence[Movement], rates: RateBook, facts: Facts) -> Iterator[Part]:
        sums: dict[tuple[str, date], Fraction] = defaultdict(Fraction)
        for key, day, alcohol in _alcohols(movements):
            sums[key, rates.row_on(key, day).valid_from] += alcohol
        for (key, since), alcohol in sorted(
            sums.items(), key=lambda item: (list(_WORDS).index(item[0][0]), item[0][1])
        ):
            less = self._discount(key, rates, since, facts)
            rate = rates.on(key, since) - less
            small = f", less {less} as a small producer" if less else ""
            yield Part(alcohol, rate, alcohol * Fraction(rate), f"{_WORDS[key]}{small}")

    def _discount(self, key: str, rates: RateBook, day: date, facts: Facts) -> Decimal:
        if key not in _BANDS or not yes(self.questions, facts, "is_small"):
            return Decimal(0)
        return small_discount(key, number(self.questions, facts, "alcohol_hl"), rates, day)

    def lines(self, account: Account, rates: RateBook) -> tuple[Line, ...]:
        """Return the return by class, then the statement of stock. Raises OutOfRange."""
        parts = self._parts(account.movements, rates, account.facts)
        classes = tuple(
            Line(
                str(place),
                part.why.capitalize(),
                {QUANTITY: half_up(part.quantity, 2), RATE: part.rate, AMOUNT: half_up(part.amount, 2)},
            )
            for place, part in enumerate(parts, 1)
        )
        return (*classes, *statement_lines(account))

    def checks(self, account: Account, lines: Sequence[Line]) -> tuple[Check, ...]:
        """Return whether the stock closes."""
        return (statement_check(account),)

    def closing(self, account: Account) -> Mapping[Place, Decimal]:
        """Return the hectolitres on hand at the end."""
        return closing_of(account)

    def on_hand(self, volume_micro_l: int) -> Decimal:
        """Return a volume in hectolitres."""
        return on_hand_hl(volume_micro_l)


def _notes(movements: Sequence[Movement]) -> Iterator[str]:
    if any(one.kind in CREDITED for one in movements):
        yield "Beer that came back spoilt is claimed within 3 years of payment, in the same container."
    large = [one for one in movements if one.kind in TAXED and _is_large(one)]
    if any(_is_draught(one) for one in large):
        yield "Draught rates are taken for kegs and casks of 20 L and more; each must connect to a dispense system."
    if untold := sorted({one.product for one in large if not _is_draught(one)}):
        yield f"No draught rate in 20 L and more, since not told to be kegs or casks: {', '.join(untold)}."


def _alcohols(movements: Sequence[Movement]) -> Iterator[tuple[str, date, Fraction]]:
    """Yield of what is taxed or credited its class, day and alcohol in litres, below nothing where credited."""
    for one in movements:
        if one.kind not in TAXED | CREDITED:
            continue
        strength = one.measured("alcohol")
        alcohol = litres_of_alcohol(one.volume_l, strength)
        key = rate_class(strength, is_draught=_is_draught(one))
        yield key, one.day, alcohol if one.kind in TAXED else -alcohol


def _is_draught(one: Movement) -> bool:
    return _is_large(one) and one.container is not None and one.container.dispense


def _is_large(one: Movement) -> bool:
    return one.container is not None and one.container.capacity_micro_l >= DRAUGHT_LEAST_MICRO_L
