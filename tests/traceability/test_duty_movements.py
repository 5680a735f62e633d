"""The worksheet of a period from its postings: barrels and tax as they are reckoned by hand."""

from collections import defaultdict
from datetime import date
from decimal import Decimal
from random import Random

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brewery.kernel.clock import brewery_day
from brewery.science.duty.movements import ADDITIONS, BETWEEN_PLACES, Container, ContainerKind, Kind
from brewery.science.ranges import OutOfRange
from brewery.science.units import MICRO
from inventory.models import Event
from inventory.queries.usage import Period
from tests.brewhouse import Brewhouse
from tests.histories import History
from traceability.queries.duty_containers import container_of, container_words
from traceability.queries.duty_lines import movement_of
from traceability.queries.duty_movements import movements_of, worksheet_of
from traceability.queries.duty_record import duty_record
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


@pytest.mark.parametrize(
    ("litres", "told", "kind", "dispense"),
    [
        (50, "keg", ContainerKind.KEG, True),
        (5, "keg", ContainerKind.KEG, True),
        (40, "cask", ContainerKind.KEG, True),
        (20, "cans", ContainerKind.CASE, False),
        (8, "bottles", ContainerKind.CASE, False),
        (50, "", ContainerKind.KEG, False),
        (14, "", ContainerKind.KEG, False),
        (12, "", ContainerKind.CASE, False),
    ],
)
def test_a_container_is_what_it_is_told_to_be_and_else_by_its_size(
    litres: int, told: str, kind: ContainerKind, dispense: bool
):
    assert container_of(litres * MICRO, told) == Container(kind, litres * MICRO, dispense)


def test_beer_in_tanks_is_in_no_container():
    assert container_of(0, "") is None
    assert container_words("", None) == ""
    assert (container_words("", "50"), container_words("keg", "50")) == ("50 L", "keg 50 L")


@settings(
    max_examples=12,
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(seed=st.integers(min_value=0, max_value=2**32), steps=st.integers(min_value=4, max_value=30))
def test_the_movements_of_a_random_season_are_the_lines_of_its_record(brewhouse: Brewhouse, seed: int, steps: int):
    """Kind by kind to the microlitre, of which a part of a package may lose one each; and the American form closes."""
    with transaction.atomic():
        History(brewhouse, Random(seed)).play(steps)
        days = [brewery_day(moment) for moment in Event.objects.values_list("happened_at", flat=True)]
        period = Period(min(days).replace(month=1, day=1), max(days))
        moved: dict[Kind, int] = defaultdict(int)
        movements = [one for one in movements_of(period) if one.kind not in BETWEEN_PLACES]
        for one in movements:
            moved[one.kind] += one.volume_micro_l * (1 if one.kind in ADDITIONS else -1)
        recorded: dict[Kind, int] = defaultdict(int)
        for row in duty_record(period):
            for line, pico in row.lines.items():
                if line not in ("packaged", "reworked"):
                    recorded[movement_of(line)] += pico
        for kind in {*moved, *recorded}:
            assert abs(moved[kind] * 10**6 - recorded[kind]) < 10**6 * (1 + len(movements)), kind
        sheet = worksheet_of("us", period, FACTS)
        assert [check.words for check in sheet.checks if not check.agrees and check.key in ("2", "3", "4", "7")] == []
        transaction.set_rollback(True)
