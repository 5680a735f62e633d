"""The worksheet of a period from its postings: barrels and tax as they are reckoned by hand."""

from datetime import date
from decimal import Decimal

import pytest

from brewery.science.duty.movements import Kind
from brewery.science.ranges import OutOfRange
from inventory.queries.usage import Period
from tests.brewhouse import Brewhouse
from traceability.queries.duty_movements import movements_of, worksheet_of
from traceability.services.duty_periods import close_period

MARCH, APRIL = Period(date(2026, 3, 1), date(2026, 3, 31)), Period(date(2026, 4, 1), date(2026, 4, 30))
FACTS = {"made_bbl": Decimal(5000)}

pytestmark = pytest.mark.django_db


def test_the_worksheet_of_a_chain_is_what_is_reckoned_by_hand(brewhouse: Brewhouse):
    """50 l are 0.42608 bbl (27 CFR 25.156): 4 kegs 1.70432, 1 back 0.42608; 1.70 - 0.43 at $3.50 are $4.445."""
    brewhouse.whole_chain()
    sheet = worksheet_of("us", MARCH, FACTS)
    lines = {line.number: line.cells["total"] for line in sheet.lines}
    assert (lines["1"], lines["2"], lines["7"]) == (Decimal("0.00"), Decimal("8.52"), Decimal("0.43"))
    assert (lines["9"], lines["14"], lines["25"]) == (Decimal("4.26"), Decimal("1.70"), Decimal("4.26"))
    assert (sheet.duty.quantity, sheet.duty.amount) == (Decimal("1.27"), Decimal("4.45"))
    assert [check.words for check in sheet.checks if not check.agrees] == []
    assert "not a filing" in sheet.caution
    assert worksheet_of("us", APRIL, FACTS).lines[0].cells["racking_keg"] == Decimal("2.98")


def test_a_fact_that_was_not_told_is_asked_for(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    with pytest.raises(OutOfRange, match="Answer it first"):
        worksheet_of("us", MARCH, {})


def test_what_was_undone_later_is_taken_back_in_the_next_worksheet(brewhouse: Brewhouse):
    brewhouse.stock_up()
    brewhouse.ferment()
    brewhouse.filter("FV1", "BT1", "BB1", "900 L", ("A1", "STORE", "1 kg"), loss="10 L", hours=300)
    lost = brewhouse.destroy("BB1", "BT1", "100 L", hours=310)
    close_period(scheme="us", first=MARCH.first, last=MARCH.last, **brewhouse.by("accounting"))
    brewhouse.reverse(lost)
    destroyed = [line.cells["cellar"] for line in worksheet_of("us", APRIL, FACTS).lines if line.label == "Destroyed"]
    assert destroyed == [Decimal("-0.85")]
    assert sum(one.volume_micro_l for one in movements_of(MARCH) if one.kind is Kind.DESTROYED) == 0
