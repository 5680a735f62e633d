"""Germany: beer duty on hectolitres by whole degrees Plato, with less for small independent breweries.

Biersteuergesetz 2009 §§ 2, 14, 15 (github.com bundestag/gesetze, state of June 2021) and Biersteuerverordnung; the
amounts for one hectolitre are cut to the cent, as the examples of the customs do (zoll.de).
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from math import ceil, floor

from brewery.science.duty.european import EU_LEAST_PER_HL_PLATO
from brewery.science.duty.movements import Kind, Movement, Place
from brewery.science.duty.periods import day_of_month_after
from brewery.science.duty.questions import Facts, Question, number, yes
from brewery.science.duty.rates import Rate, RateBook
from brewery.science.duty.rounding import cut, half_up
from brewery.science.duty.schemes import Account, Check, Column, Duty, LateEntry, Line, Part, PeriodKind
from brewery.science.duty.statement import (
    AMOUNT,
    PLACES,
    QUANTITY,
    RATE,
    closing_of,
    hectolitres,
    on_hand_hl,
    statement_check,
    statement_lines,
    taxed_columns,
)

TAXED = frozenset({Kind.REMOVED, Kind.REMOVED_TO_TAVERN, Kind.CONSUMED})
CREDITED = frozenset({Kind.RETURNED, Kind.RETURNED_ELSEWHERE})
FREE_TO_ALCOHOL_PCT = Fraction(1, 2)
"""Beer of no more than 0.5 % vol is not taxed."""

_LAW = "BierStG 2009 § 2, state of June 2021, github.com bundestag/gesetze"
_SMALL = (
    f"{_LAW}; from 2023 as made permanent by the Jahressteuergesetz 2022, whose text was not seen: enacted in 2021 for "
    "2023 were 84.0, 78.4, 67.2 and 56.0 %. Confirm it"
)
SMALL_HL = Decimal(200_000)
ANCHORS_HL = (Decimal(5_000), Decimal(10_000), Decimal(20_000), Decimal(40_000))
"""Up to how many hectolitres a year the anchors of the reduced rate go; between them it rises by each 1,000 begun."""
_STEP_HL = 1000
RATES = (
    Rate("de", "per_hl_plato", Decimal("0.787"), "EUR/hL and °P", date(2021, 1, 1), None, _LAW),
    *(
        Rate("de", f"small_{anchor}", Decimal(share), "% of the rate", date(2021, 1, 1), None, _SMALL)
        for anchor, share in zip(ANCHORS_HL, (50, 60, 70, 75), strict=True)
    ),
)
_QUESTIONS = (
    Question("made_hl", "How many hectolitres of beer does the brewery make in the calendar year?", "hL", None),
    Question(
        "independent",
        "Is it legally and economically independent, on premises of its own, without licences?",
        None,
        None,
    ),
)


def plato_class(extract: Fraction) -> int:
    """Return the tax class: the whole degrees Plato, what is beyond them left out (12.9 is 12)."""
    return floor(extract)


def plato_by_balling(alcohol_pct_mass: Decimal, real_extract_pct: Decimal) -> Fraction:
    """Return the original extract in °P of finished beer: the large Balling formula, from memory."""
    alcohol, extract = Fraction(alcohol_pct_mass), Fraction(real_extract_pct)
    return 100 * (Fraction("2.0665") * alcohol + extract) / (100 + Fraction("1.0665") * alcohol)


def share_pct(made_hl: Decimal, rates: RateBook, day: date) -> Fraction:
    """Return the per cent of the rate that an independent brewery pays that makes so much a year.

    From anchor to anchor in even steps of 1,000 hL begun, and from the last to the full rate at 200,000 hL: the text
    of the law leaves the steps open, and the authority has the last word. Raises OutOfRange without a rate.
    """
    if made_hl >= SMALL_HL:
        return Fraction(100)
    points = [(anchor, Fraction(rates.on(f"small_{anchor}", day))) for anchor in ANCHORS_HL]
    points.append((SMALL_HL, Fraction(100)))
    if made_hl <= points[0][0]:
        return points[0][1]
    low, high = next((low, high) for low, high in pairwise(points) if low[0] < made_hl <= high[0])
    steps = Fraction(high[0] - low[0]) / _STEP_HL
    return low[1] + (high[1] - low[1]) * ceil(Fraction(made_hl - low[0]) / _STEP_HL) / steps


class Germany:
    """The duty, with the return by tax class and a statement of stock below it."""

    key = "de"
    name = "Germany, Biersteueranmeldung"
    currency = "EUR"
    unit = "hL"
    period_kinds: tuple[PeriodKind, ...] = (PeriodKind.MONTH,)
    columns: tuple[Column, ...] = taxed_columns("hL", "EUR")
    taxed = TAXED
    credited = CREDITED
    rounding = (
        "Decimals of a degree Plato are left out; the duty on one hectolitre is cut to the cent; the duty of a class "
        "to the cent, the half up (that last is ours: no source)."
    )
    late_entry: LateEntry = LateEntry.AMENDMENT
    counts_the_year = False
    strengths: tuple[str, ...] = ("alcohol", "extract")
    questions: tuple[Question, ...] = _QUESTIONS
    rates: tuple[Rate, ...] = RATES

    def due_on(self, end: date) -> date | None:
        """Return the seventh day of the month after: § 15."""
        return day_of_month_after(end, 7)

    def quantity(self, movements: Sequence[Movement]) -> Decimal:
        """Return the hectolitres taxed less those returned."""
        return half_up(hectolitres(movements, TAXED) - hectolitres(movements, CREDITED), PLACES)

    def duty(self, movements: Sequence[Movement], rates: RateBook, so_far: Decimal, facts: Facts) -> Duty:
        """Return the duty, class by class. Raises OutOfRange for beer whose extract was not measured."""
        parts = tuple(self._parts(movements, rates, facts))
        amount = sum((half_up(part.amount, 2) for part in parts), Decimal(0))
        return Duty(self.quantity(movements), self.unit, amount, self.currency, parts, _notes(movements))

    def _parts(self, movements: Sequence[Movement], rates: RateBook, facts: Facts) -> Iterator[Part]:
        for (classed, day), quantity in sorted(_by_class(movements, rates).items()):
            share = self._share(rates, day, facts)
            per_hl = cut(Fraction(rates.on("per_hl_plato", day)) * classed * share / 100, 2)
            less = "" if share == 100 else f", {float(share):g} % of the rate as a small brewery"
            yield Part(quantity, per_hl, quantity * Fraction(per_hl), f"Tax class {classed} °P{less}")

    def _share(self, rates: RateBook, day: date, facts: Facts) -> Fraction:
        made = number(self.questions, facts, "made_hl")
        if made >= SMALL_HL or not yes(self.questions, facts, "independent"):
            return Fraction(100)
        return share_pct(made, rates, day)

    def lines(self, account: Account, rates: RateBook) -> tuple[Line, ...]:
        """Return the return by tax class, then the statement of stock. Raises OutOfRange."""
        parts = self._parts(account.movements, rates, account.facts)
        classes = tuple(
            Line(
                str(place),
                part.why,
                {QUANTITY: half_up(part.quantity, PLACES), RATE: part.rate, AMOUNT: half_up(part.amount, 2)},
            )
            for place, part in enumerate(parts, 1)
        )
        return (*classes, *statement_lines(account))

    def checks(self, account: Account, lines: Sequence[Line]) -> tuple[Check, ...]:
        """Return whether the stock closes, and whether the duty keeps to the Union's least."""
        return statement_check(account), _least(lines)

    def closing(self, account: Account) -> Mapping[Place, Decimal]:
        """Return the hectolitres on hand at the end."""
        return closing_of(account)

    def on_hand(self, volume_micro_l: int) -> Decimal:
        """Return a volume in hectolitres."""
        return on_hand_hl(volume_micro_l)


def _by_class(movements: Sequence[Movement], rates: RateBook) -> dict[tuple[int, date], Fraction]:
    """Return the hectolitres by tax class and the day from which their rate is in force."""
    found: dict[tuple[int, date], Fraction] = defaultdict(Fraction)
    for one in movements:
        if one.kind not in TAXED | CREDITED or _is_free(one):
            continue
        classed = plato_class(one.measured("extract"))
        since = rates.row_on("per_hl_plato", one.day).valid_from
        found[classed, since] += one.volume_hl if one.kind in TAXED else -one.volume_hl
    return {key: quantity for key, quantity in found.items() if quantity}


def _is_free(one: Movement) -> bool:
    return one.alcohol is not None and one.measured("alcohol") <= FREE_TO_ALCOHOL_PCT


def _notes(movements: Sequence[Movement]) -> tuple[str, ...]:
    short = hectolitres(movements, frozenset({Kind.SHORTAGE}))
    words = f"{half_up(short, PLACES)} hL are missing and not in this: the authority may tax what nobody can explain."
    return (words,) if short else ()


def _least(lines: Sequence[Line]) -> Check:
    """Half the Union's least rate is the least that a small brewery may pay."""
    least = Fraction(EU_LEAST_PER_HL_PLATO) / 2
    low = [line for line in lines if RATE in line.cells and Fraction(line.cells[RATE]) < floor(least * 100) / 100]
    return Check("eu_least", not low, "No class is taxed below half of the Union's least rate.")
