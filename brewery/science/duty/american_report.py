"""The brewer's report of operations, TTB F 5130.9, Part 1: its lines and columns in their own order.

Sources: omb.report 49288801 and formspal.com for lines 1 to 24; pay.gov, ATF_5130_9_v6; the names of 25 and 26 follow
from the checks that the authority publishes. Lines 27 to 30 and 32 could not be read in any copy: what belongs there
stands under one number, with a note, and is to be put in its place by hand.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from brewery.science.duty.american_cells import ZERO, arrived, cells, closing
from brewery.science.duty.movements import Kind, Place
from brewery.science.duty.schemes import Account, Column, Line

TOTAL = "total"
COLUMNS = (
    Column(Place.CELLAR, "(b) Cellar"),
    Column(Place.RACKING_BULK, "(c) Racking, bulk"),
    Column(Place.RACKING_KEG, "(d) Racking, keg"),
    Column(Place.BOTTLING_BULK, "(e) Bottling, bulk"),
    Column(Place.BOTTLING_CASE, "(f) Bottling, case"),
    Column(TOTAL, "(g) Total"),
)
INFERRED = "Name inferred from the published checks."
NOT_READABLE = (
    "Lines 27 to 30 and 32 were not readable in the copy we have; the name is from memory. Use the form's line."
)


@dataclass(frozen=True, slots=True)
class _Row:
    number: str
    label: str
    kinds: tuple[Kind, ...] = ()
    note: str = ""


ADDED = (
    _Row("2", "Produced by fermentation", (Kind.PRODUCED,)),
    _Row("3", "Water and other liquids added in cellar operations", (Kind.WATER_ADDED,)),
    _Row("4", "Received from racking and bottling", (Kind.TO_CELLAR,)),
    _Row("5", "Received in bond", (Kind.RECEIVED_IN_BOND,)),
    _Row("6", "Received from cellars", (Kind.TO_RACKING, Kind.TO_BOTTLING)),
    _Row("7", "Returned to this brewery after removal from it", (Kind.RETURNED,)),
    _Row("8", "Returned after removal from another brewery of the same owner", (Kind.RETURNED_ELSEWHERE,)),
    _Row("9", "Racked", (Kind.RACKED,)),
    _Row("10", "Bottled", (Kind.BOTTLED,)),
    _Row("11", "Overage found by physical inventory", (Kind.SURPLUS,)),
    _Row("12", "(blank)"),
)
TAKEN = (
    _Row("14", "Removed for consumption or sale", (Kind.REMOVED,)),
    _Row("15", "Removed tax-determined for the tavern on the premises", (Kind.REMOVED_TO_TAVERN,)),
    _Row("16", "Removed without tax for export", (Kind.EXPORTED,)),
    _Row("17", "Removed without tax as supplies", (Kind.SUPPLIED,)),
    _Row("18", "Removed without tax for research, development or testing", (Kind.RESEARCHED,)),
    _Row("19", "Removed without tax to other breweries and pilot plants", (Kind.TO_OTHER_PREMISES,)),
    _Row("20", "Unfit for sale, removed for manufacturing", (Kind.UNFIT,)),
    _Row("21", "Consumed on the premises", (Kind.CONSUMED, Kind.GIVEN_FREE)),
    _Row("22", "Transferred for racking", (Kind.TO_RACKING,)),
    _Row("23", "Transferred for bottling", (Kind.TO_BOTTLING,)),
    _Row("24", "Returned to cellars", (Kind.TO_CELLAR,)),
    _Row("25", "Racked", (Kind.RACKED,), INFERRED),
    _Row("26", "Bottled", (Kind.BOTTLED,), INFERRED),
    _Row("27-30", "Laboratory samples", (Kind.SAMPLED,), NOT_READABLE),
    _Row("27-30", "Destroyed", (Kind.DESTROYED,), NOT_READABLE),
    _Row("27-30", "Losses, including theft", (Kind.LOST,), NOT_READABLE),
    _Row("31", "Shortage found by physical inventory", (Kind.SHORTAGE,)),
    _Row("32", "(not readable)", (), NOT_READABLE),
)


def report_lines(account: Account) -> tuple[Line, ...]:
    """Return the lines of Part 1; line 33 is what was counted, otherwise what must be there."""
    additions = [_line("1", "On hand, beginning of period", dict(account.opening)), *_added(account)]
    end = dict(closing(account.opening, account.movements) if account.counted is None else account.counted)
    removals = [*_taken(account), _line("33", "On hand, end of period", end)]
    return (*additions, _sum("13", "Total beer", additions), *removals, _sum("34", "Total beer", removals))


def _added(account: Account) -> Iterator[Line]:
    for row in ADDED:
        each = [arrived(account.movements, kind) for kind in row.kinds]
        found = {at: sum((part[at] for part in each), ZERO) for at in Place}
        yield _line(row.number, row.label, found, row.note)


def _taken(account: Account) -> Iterator[Line]:
    for row in TAKEN:
        yield _line(row.number, row.label, cells(account.movements, row.kinds), row.note)


def _line(number: str, label: str, found: dict[Place, Decimal], note: str = "") -> Line:
    by_column = {str(at): found.get(at, ZERO) for at in Place}
    return Line(number, label, by_column | {TOTAL: sum(by_column.values(), ZERO)}, note)


def _sum(number: str, label: str, lines: Sequence[Line]) -> Line:
    return Line(number, label, {c.key: sum((line.cells[c.key] for line in lines), ZERO) for c in COLUMNS})
