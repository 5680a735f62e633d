"""Schemes: what the duty law of a country must say of itself, so that another country is another file.

A scheme is data and a small class: it is handed plain movements and dated rates, and answers with figures and
sentences. It knows no database, no clock and no address.
"""

import enum
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Protocol

from brewery.science.duty.movements import Kind, Movement, Place
from brewery.science.duty.questions import Facts, Question
from brewery.science.duty.rates import Rate, RateBook

CAUTION = (
    "A worksheet, not a filing: ask the authority and a licensed adviser before you declare, pay or claim anything. "
    "Laws and rates change, and the rows here may be old or wrong."
)
"""Stands beside every figure of duty, on pages, in files and on paper."""


class PeriodKind(enum.StrEnum):
    """For how long a return is made."""

    MONTH = "month"
    QUARTER = "quarter"
    YEAR = "year"


class LateEntry(enum.StrEnum):
    """Where an entry belongs that is made when its period is closed."""

    NEXT_PERIOD = "next_period"
    AMENDMENT = "amendment"


@dataclass(frozen=True, slots=True)
class Account:
    """What a period's worksheet is made of.

    `opening` and `counted` are what was on hand at the start (the closing of the last worksheet) and at the count at
    the end, by place, in the scheme's unit; without a count the end follows from the lines. `so_far` is what was
    taxed this year before, in the scheme's unit. A movement of a day before `start` is a late entry.
    """

    start: date
    end: date
    movements: Sequence[Movement]
    opening: Mapping[Place, Decimal] = field(default_factory=dict)
    counted: Mapping[Place, Decimal] | None = None
    so_far: Decimal = Decimal(0)
    facts: Facts = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Column:
    """A column of the worksheet: the key of its cells, and what the form calls it."""

    key: str
    label: str


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the worksheet, in the form's own order: its number, its name and a figure for each column.

    `note` says what is doubtful about it: a name from memory, or a line that could not be read.
    """

    number: str
    label: str
    cells: Mapping[str, Decimal]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Check:
    """One thing that must agree, and whether it does; `words` names the lines and the figures."""

    key: str
    agrees: bool
    words: str


@dataclass(frozen=True, slots=True)
class Part:
    """One rate applied: so much of the scheme's unit, at so much, unrounded; `why` names the band or relief."""

    quantity: Fraction
    rate: Decimal
    amount: Fraction
    why: str


@dataclass(frozen=True, slots=True)
class Duty:
    """What is owed on a period's movements, and how it was come by."""

    quantity: Decimal
    unit: str
    amount: Decimal
    currency: str
    parts: tuple[Part, ...]
    notes: tuple[str, ...] = ()
    caution: str = CAUTION


@dataclass(frozen=True, slots=True)
class Worksheet:
    """A period as the authority asks for it. `closing` is the next period's `opening`."""

    scheme: str
    start: date
    end: date
    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    checks: tuple[Check, ...]
    closing: Mapping[Place, Decimal]
    duty: Duty
    caution: str = CAUTION


class DutyScheme(Protocol):
    """The duty law of one country, as data and four answers."""

    key: str
    name: str
    currency: str
    unit: str
    """What quantities are in: US bbl, hL, L of alcohol."""
    period_kinds: tuple[PeriodKind, ...]
    columns: tuple[Column, ...]
    taxed: frozenset[Kind]
    """What is a removal: the movements that make duty due."""
    credited: frozenset[Kind]
    """The movements that take duty off again."""
    rounding: str
    """In words, what is rounded, to what and how."""
    late_entry: LateEntry
    counts_the_year: bool
    """Whether the rate depends on what was taxed before in the same calendar year."""
    strengths: tuple[str, ...]
    """Which of a movement must be measured of what leaves bond, is taxed or is credited: `alcohol`, `extract`."""
    questions: tuple[Question, ...]
    rates: tuple[Rate, ...]
    """The rows that come with it; a person checks them and enters later ones."""

    def due_on(self, end: date) -> date | None:
        """Return the last day for the return of a period that ends so; None where no source gave it."""
        ...

    def quantity(self, movements: Sequence[Movement]) -> Decimal:
        """Return what is taxed less what is credited, in the scheme's unit and rounded as it says."""
        ...

    def duty(self, movements: Sequence[Movement], rates: RateBook, so_far: Decimal, facts: Facts) -> Duty:
        """Return the duty on what of the movements is taxed or credited. Raises OutOfRange, in words."""
        ...

    def lines(self, account: Account, rates: RateBook) -> tuple[Line, ...]:
        """Return the lines in the form's own order. Raises OutOfRange."""
        ...

    def checks(self, account: Account, lines: Sequence[Line]) -> tuple[Check, ...]:
        """Return what must agree, each with whether it does."""
        ...

    def closing(self, account: Account) -> Mapping[Place, Decimal]:
        """Return what is on hand at the end, by place: as counted, otherwise as it follows."""
        ...

    def on_hand(self, volume_micro_l: int) -> Decimal:
        """Return a volume that is on hand as the lines state it: in their unit, with their decimals."""
        ...


def worksheet(scheme: DutyScheme, account: Account, rates: RateBook) -> Worksheet:
    """Return the period as the scheme's authority asks for it. Raises OutOfRange."""
    lines = scheme.lines(account, rates)
    return Worksheet(
        scheme.key,
        account.start,
        account.end,
        scheme.columns,
        lines,
        scheme.checks(account, lines),
        scheme.closing(account),
        scheme.duty(account.movements, rates, account.so_far, account.facts),
    )
