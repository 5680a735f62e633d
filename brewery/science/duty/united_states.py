"""The United States: tax on barrels removed for consumption or sale, reported on one of two forms."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import groupby
from operator import attrgetter

from brewery.science.duty import american_tax
from brewery.science.duty.american_cells import CREDITED, TAXED, ZERO, cells, closing, net_taxed
from brewery.science.duty.american_checks import CHECK_QUESTIONS, report_checks
from brewery.science.duty.american_quarter import COLUMNS as QUARTER_COLUMNS
from brewery.science.duty.american_quarter import quarter_checks, quarter_lines
from brewery.science.duty.american_report import COLUMNS as REPORT_COLUMNS
from brewery.science.duty.american_report import report_lines
from brewery.science.duty.american_tax import Bands, bands
from brewery.science.duty.barrels import barrels
from brewery.science.duty.movements import Kind, Movement, Place
from brewery.science.duty.periods import day_of_month_after
from brewery.science.duty.questions import Facts, Question, number
from brewery.science.duty.rates import Rate, RateBook
from brewery.science.duty.rounding import half_up
from brewery.science.duty.schemes import Account, Check, Column, Duty, LateEntry, Line, Part, PeriodKind
from brewery.science.ranges import OutOfRange

_BAND_QUESTIONS = (
    Question("made_bbl", "How many barrels does the brewer's whole group make in the calendar year?", "US bbl", None),
    Question("first_band_bbl", "Of the first 60,000 bbl, how many are this brewer's?", "US bbl", Decimal(60_000)),
    Question(
        "second_band_bbl", "Of the first 6,000,000 bbl, how many are this brewer's?", "US bbl", Decimal(6_000_000)
    ),
)


class UnitedStates:
    """The tax, with the brewer's report (monthly or quarterly) or, where `is_short`, the quarterly one."""

    currency = "USD"
    unit = "US bbl"
    taxed = TAXED
    credited = CREDITED
    rounding = (
        "Each container to 5 decimals of a barrel, the sum of each day's kegs and of each day's cases to 2, the half "
        "up; the tax on the rounded sum to the cent, the half up."
    )
    late_entry: LateEntry = LateEntry.NEXT_PERIOD
    counts_the_year = True
    strengths: tuple[str, ...] = ("alcohol",)
    questions: tuple[Question, ...] = (*_BAND_QUESTIONS, *CHECK_QUESTIONS)
    rates = american_tax.RATES

    def __init__(self, *, is_short: bool = False) -> None:
        self.key = "us_short" if is_short else "us"
        self.name = "United States, TTB F 5130.26 (quarterly)" if is_short else "United States, TTB F 5130.9"
        self.period_kinds: tuple[PeriodKind, ...] = (PeriodKind.QUARTER,)
        if not is_short:
            self.period_kinds = (PeriodKind.MONTH, PeriodKind.QUARTER)
        self.columns: tuple[Column, ...] = QUARTER_COLUMNS if is_short else REPORT_COLUMNS
        self._is_short = is_short

    def due_on(self, end: date) -> date | None:
        """Return the fifteenth day after the period: pay.gov, ATF_5130_9_v6."""
        return day_of_month_after(end, 15)

    def quantity(self, movements: Sequence[Movement]) -> Decimal:
        """Return the barrels removed for consumption or sale, less those returned."""
        return net_taxed(movements)

    def duty(self, movements: Sequence[Movement], rates: RateBook, so_far: Decimal, facts: Facts) -> Duty:
        """Return the tax, band by band after what was removed this year before. Raises OutOfRange."""
        brewer = bands(*(number(self.questions, facts, question.key) for question in _BAND_QUESTIONS))
        parts = tuple(_parts(movements, rates, so_far, brewer))
        amount = half_up(sum((part.amount for part in parts), Fraction(0)), 2)
        return Duty(net_taxed(movements), self.unit, amount, self.currency, parts, tuple(_notes(movements)))

    def lines(self, account: Account, rates: RateBook) -> tuple[Line, ...]:
        """Return Part 1 of the form. The rates have no say in it."""
        return quarter_lines(account) if self._is_short else report_lines(account)

    def checks(self, account: Account, lines: Sequence[Line]) -> tuple[Check, ...]:
        """Return the published checks of the form."""
        return quarter_checks(account, lines) if self._is_short else report_checks(account, lines)

    def closing(self, account: Account) -> Mapping[Place, Decimal]:
        """Return the barrels on hand at the end."""
        return closing(account.opening, account.movements) if account.counted is None else account.counted

    def on_hand(self, volume_micro_l: int) -> Decimal:
        """Return a volume in barrels, to the two decimals of the form."""
        return half_up(barrels(volume_micro_l), 2)


def _parts(movements: Sequence[Movement], rates: RateBook, so_far: Decimal, brewer: Bands) -> Iterator[Part]:
    """The bands, begun anew from day to day only where the rates changed."""
    relevant = sorted((m for m in movements if m.kind in TAXED | CREDITED), key=attrgetter("day"))
    years = sorted({movement.day.year for movement in relevant})
    if len(years) > 1:
        raise OutOfRange("day", years[0], f"The bands of {years[-1]} are others: amend the return of {years[0]}.")
    for _, group in groupby(relevant, key=lambda movement: _in_force(rates, movement.day)):
        inside = list(group)
        yield from american_tax.parts(quantity := net_taxed(inside), so_far, brewer, rates, inside[0].day)
        so_far += quantity


def _in_force(rates: RateBook, day: date) -> tuple[Rate, ...]:
    return tuple(rates.row_on(row.key, day) for row in american_tax.RATES)


def _notes(movements: Sequence[Movement]) -> Iterator[str]:
    short = cells(movements, (Kind.SHORTAGE,))
    barrels = short[Place.RACKING_KEG] + short[Place.BOTTLING_CASE]
    if barrels != ZERO:
        yield f"{barrels} bbl of kegs and cases are missing and not in this: tax is paid on what cannot be explained."
