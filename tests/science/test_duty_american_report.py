"""The two reports of the United States: the worked quarter, and the published checks on any month that can be."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.duty.american_report import TOTAL
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.movements import LEAVES_FROM, Kind, Movement, Place
from brewery.science.duty.rates import RateBook
from brewery.science.duty.schemes import CAUTION, Account, Line, worksheet
from brewery.science.ranges import OutOfRange
from brewery.science.units import to_micro

START, END = date(2026, 1, 1), date(2026, 3, 31)
FULL, SHORT = SCHEMES["us"], SCHEMES["us_short"]
RATES = RateBook(FULL.rates)
FACTS = {"made_bbl": Decimal(5_000)}


def moved(kind: Kind, barrels: str, place: Place = Place.CELLAR, day: date = START) -> Movement:
    return Movement(day, "Pale", kind, LEAVES_FROM.get(kind, place), to_micro(barrels, "US bbl"))


# Worked by hand, lines of TTB F 5130.26 (vdocuments.mx).
QUARTER = Account(
    START,
    END,
    [
        moved(Kind.PRODUCED, "900"),
        moved(Kind.RETURNED, "3.50"),
        moved(Kind.REMOVED, "700.25"),
        moved(Kind.REMOVED_TO_TAVERN, "80"),
        moved(Kind.EXPORTED, "15"),
        moved(Kind.TO_OTHER_PREMISES, "5"),
        moved(Kind.CONSUMED, "4.10"),
        moved(Kind.DESTROYED, "11.40"),
        moved(Kind.LOST, "9.75"),
        moved(Kind.SHORTAGE, "2"),
    ],
    opening={Place.CELLAR: Decimal("120.00")},
    facts=FACTS,
)
kinds = st.sampled_from([*Kind])
movements = st.lists(
    st.builds(
        lambda kind, place, volume, day: Movement(
            START + timedelta(days=day), "Pale", kind, LEAVES_FROM.get(kind, place), volume
        ),
        kinds,
        # Nothing goes back to the cellar from packages: the form knows 24(c) and 24(e) only.
        st.sampled_from([Place.RACKING_BULK, Place.BOTTLING_BULK]),
        st.integers(-(10**9), 10**11),
        st.integers(0, 40),
    ),
    max_size=12,
)
openings = st.dictionaries(st.sampled_from(Place), st.integers(0, 10**6).map(lambda x: Decimal(x) / 100))


def numbers(lines) -> dict[str, Decimal]:
    return {line.number: line.cells[TOTAL] for line in lines}


def broken(scheme, account: Account, lines) -> list[str]:
    return [check.key for check in scheme.checks(account, lines) if not check.agrees]


def test_the_worked_quarter_on_the_short_form():
    sheet = worksheet(SHORT, QUARTER, RATES)
    at = numbers(sheet.lines)
    assert [line.number for line in sheet.lines] == [str(number) for number in range(1, 18)]
    assert (at["8"], at["10"], at["11"], at["17"]) == tuple(map(Decimal, ("1023.50", "780.25", "20.00", "196.00")))
    assert (sheet.duty.quantity, sheet.duty.amount) == (Decimal("776.75"), Decimal("2718.63"))
    assert sheet.closing[Place.CELLAR] == at["17"]
    assert all(check.agrees for check in sheet.checks)
    assert sheet.caution == sheet.duty.caution == CAUTION


def test_the_lines_of_the_long_form_come_in_its_order_and_say_which_could_not_be_read():
    lines = FULL.lines(QUARTER, RATES)
    readable = [str(number) for number in range(1, 27)]
    assert [line.number for line in lines] == [*readable, "27-30", "27-30", "27-30", "31", "32", "33", "34"]
    assert {line.number for line in lines if line.note} == {"25", "26", "27-30", "32"}
    assert [column.label[:3] for column in FULL.columns] == ["(b)", "(c)", "(d)", "(e)", "(f)", "(g)"]


@given(movements, openings)
def test_the_published_checks_hold_for_whatever_moved(moves, opening):
    settled = {"shortages_are_settled": True}
    exported = sum((numbers(FULL.lines(Account(START, END, moves), RATES))[n] for n in ("16", "17")), Decimal(0))
    account = Account(START, END, moves, opening, facts=settled | {"on_export_forms_bbl": exported})
    lines = FULL.lines(account, RATES)
    assert broken(FULL, account, lines) == []
    quarter = SHORT.lines(account, RATES)
    assert broken(SHORT, account, quarter) == []
    assert numbers(quarter)["17"] == numbers(lines)["33"] == sum(FULL.closing(account).values())


BROKEN = {
    "1": ("1", "bottling_case", "1(f) is 1.00, was 0"),
    "2": ("24", "bottling_bulk", "4(b) is 2.00, 24(c) and 24(e) are 3.00, 4(g) is 2.00"),
    "3": ("6", "racking_bulk", "6(c) is 6.00, 22(b) is 5.00"),
    "4": ("23", "cellar", "6(e) is 8.00, 23(b) is 9.00"),
    "5": ("9", "racking_keg", "9(d) is 5.00, 25(c) is 4.00"),
    "6": ("26", "bottling_bulk", "10(f) is 7.00, 26(e) is 8.00"),
    "7": ("13", "racking_bulk", "13(c) is 6.00, 34(c) is 5.00"),
    "8": ("14", TOTAL, "they are 1.00, the returns have 0.00"),
    "9": ("17", TOTAL, "they are 1.00; enter what the forms have"),
    "10": ("31", "racking_keg", "31(d) is 1.00"),
}


@pytest.mark.parametrize("key", BROKEN)
def test_each_check_that_is_broken_is_named_with_its_lines(key):
    number, column, told = BROKEN[key]
    month = Account(
        START,
        END,
        [
            moved(Kind.PRODUCED, "20"),
            moved(Kind.TO_RACKING, "5"),
            moved(Kind.RACKED, "4"),
            moved(Kind.TO_BOTTLING, "8"),
            moved(Kind.BOTTLED, "7"),
            moved(Kind.TO_CELLAR, "1", Place.RACKING_BULK),
            moved(Kind.TO_CELLAR, "1", Place.BOTTLING_BULK),
        ],
    )
    lines = FULL.lines(month, RATES)
    assert broken(FULL, month, lines) == []
    wrong = [one_more(line, column) if line.number == number else line for line in lines]
    found = {check.key: check.words for check in FULL.checks(month, wrong) if not check.agrees}
    assert told in found[key]


def one_more(line: Line, column: str) -> Line:
    return replace(line, cells=dict(line.cells) | {column: line.cells[column] + 1})


def test_what_was_counted_is_the_end_and_what_is_missing_is_told():
    counted = replace(QUARTER, counted={Place.CELLAR: Decimal("195.50")})
    words = {check.key: check.words for check in FULL.checks(counted, FULL.lines(counted, RATES))}
    assert "13(b) is 1023.50, 34(b) is 1023.00" in words["7"]
    assert broken(SHORT, counted, SHORT.lines(counted, RATES)) == ["17"]
    assert FULL.closing(counted) == counted.counted


def test_lines_14_and_15_are_rounded_together_because_the_tax_is():
    together = Account(START, END, [moved(Kind.REMOVED, "0.004"), moved(Kind.REMOVED_TO_TAVERN, "0.004")])
    at = numbers(FULL.lines(together, RATES))
    assert (at["14"], at["15"], FULL.quantity(together.movements)) == tuple(map(Decimal, ("0.00", "0.01", "0.01")))


def test_a_late_addition_is_an_adjustment_of_the_short_form_and_a_late_removal_is_taxed_now():
    late = date(2026, 1, 20)
    quarter = Account(
        date(2026, 4, 1),
        date(2026, 6, 30),
        [moved(Kind.PRODUCED, "9", day=late), moved(Kind.REMOVED, "2", day=late)],
        facts=FACTS,
    )
    at = numbers(SHORT.lines(quarter, RATES))
    assert (at["2"], at["9"], at["10"], at["17"]) == (Decimal(0), Decimal(9), Decimal(2), Decimal(7))
    assert worksheet(SHORT, quarter, RATES).duty.amount == Decimal("7.00")


def test_a_late_entry_of_another_year_is_refused_because_its_bands_are_others():
    moves = [moved(Kind.REMOVED, "2", day=date(2025, 12, 30)), moved(Kind.REMOVED, "2")]
    with pytest.raises(OutOfRange, match="The bands of 2026 are others: amend the return of 2025"):
        FULL.duty(moves, RATES, Decimal(0), FACTS)


def test_rates_that_change_within_a_period_are_each_used_for_their_days():
    end = date(2026, 1, 31)
    rows = [replace(row, valid_until=end) for row in FULL.rates]
    rows += [replace(row, value=row.value * 2, valid_from=date(2026, 2, 1)) for row in FULL.rates]
    moves = [moved(Kind.REMOVED, "10"), moved(Kind.REMOVED, "10", day=date(2026, 2, 1))]
    assert FULL.duty(moves, RateBook(tuple(rows)), Decimal(0), FACTS).amount == Decimal("105.00")


def test_missing_kegs_and_cases_are_told_beside_the_tax():
    duty = FULL.duty([moved(Kind.SHORTAGE, "1.5", Place.RACKING_KEG)], RATES, Decimal(0), FACTS)
    assert duty.amount == 0
    assert duty.notes == (
        "1.50 bbl of kegs and cases are missing and not in this: tax is paid on what cannot be explained.",
    )


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({}, "made_bbl: None is not valid. Answer it first: How many barrels does the brewer's whole group make"),
        ({"made_bbl": Decimal(-1)}, "made_bbl: -1 is not valid. It must be 0 or more"),
        ({"made_bbl": True}, "made_bbl: True is not valid. Answer it with a number"),
    ],
)
def test_the_tax_asks_for_what_it_must_know(facts, words):
    with pytest.raises(OutOfRange, match=words):
        FULL.duty(QUARTER.movements, RATES, Decimal(0), facts)


def test_a_return_is_due_on_the_fifteenth():
    # pay.gov, ATF_5130_9_v6: the fifteenth day after the period.
    assert FULL.due_on(date(2026, 12, 31)) == date(2027, 1, 15)
