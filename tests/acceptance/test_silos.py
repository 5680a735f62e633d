"""Two silos, filled and drawn alike, from the lorry to the wort: the mixed one blends, the layered one keeps apart.

    loads          drawn for brews
t0  A 1000 kg
t1                 W1  400 kg
t2  B  600 kg on top of the 600 kg that are left of A
t3                 W2  500 kg
t4                 W3  500 kg
t5                 all that is left; then C 900 kg into the empty silo
t6                 W4  300 kg
"""

from fractions import Fraction

import pytest

from inventory.models import Link, Location, Lot
from inventory.services.registers import add_location
from tests.brewhouse import Brewhouse, micro
from tests.standing import built_once
from traceability.queries.mass_balance import mass_balance
from traceability.queries.trace import Direction, trace

EXACTLY = 1e-9


@built_once
def layered(brewhouse: Brewhouse) -> Brewhouse:
    """A layered silo with a band of 40 kg, beside the mixed one that stands there."""
    add_location(
        code="SILO3",
        name="Silo 3",
        kind=Location.Kind.SILO,
        filling=Location.Filling.LAYERED,
        band_micro=micro("40 kg"),
        **brewhouse.by("administration"),
    )
    return brewhouse


def brew(house: Brewhouse, number: int, *lines: tuple[str, str, str], hours: float) -> None:
    started = house.start_brew(f"B{number}", hours=hours)
    house.draw(started, *lines, hours=hours)
    house.knock_out(started, f"W{number}", {"BT1": "1000 L"}, hours=hours)
    house.destroy(f"W{number}", "BT1", "1000 L", hours=hours)
    house.clean("BT1", hours=hours)


def made_of(house: Brewhouse, lot: str, *kinds: Link.Kind) -> dict[str, float]:
    """Return how many kilograms of each load are in the lot; a residue nobody weighed is none."""
    answer = trace(house.lot(lot), Direction.BACK, kinds=kinds or (Link.Kind.INGREDIENT,))
    return {code: answer.amounts[house.lot(code).pk] / 1e6 for code in "ABC" if house.lot(code).pk in answer.amounts}


def test_a_mixed_silo_blends_what_was_left_with_what_came(brewhouse: Brewhouse):
    brewhouse.deliver("PILS", "A", "1000 kg", "SILO1", note="A")
    brew(brewhouse, 1, ("A", "SILO1", "400 kg"), hours=1)
    brewhouse.deliver("PILS", "B", "600 kg", "SILO1", hours=2, note="B", contents_code="S1")
    brew(brewhouse, 2, ("S1", "SILO1", "500 kg"), hours=3)
    brew(brewhouse, 3, ("S1", "SILO1", "500 kg"), hours=4)
    brewhouse.move("S1", "SILO1", "STORE", "200 kg", hours=5)
    brewhouse.deliver("PILS", "C", "900 kg", "SILO1", hours=5.5, note="C")
    brew(brewhouse, 4, ("C", "SILO1", "300 kg"), hours=6)

    half = float(Fraction(500) * Fraction(600, 1200))
    assert made_of(brewhouse, "W1") == {"A": pytest.approx(400, rel=EXACTLY)}
    assert made_of(brewhouse, "W2") == {"A": pytest.approx(half, rel=EXACTLY), "B": pytest.approx(half, rel=EXACTLY)}
    assert made_of(brewhouse, "W3") == made_of(brewhouse, "W2")
    assert made_of(brewhouse, "W4") == {"C": pytest.approx(300, rel=EXACTLY)}
    assert_all_is_accounted_for()


def test_a_layered_silo_keeps_the_loads_apart_but_for_the_band(layered: Brewhouse):
    layered.deliver("PILS", "A", "1000 kg", "SILO3", note="A")
    brew(layered, 1, ("A", "SILO3", "400 kg"), hours=1)
    layered.deliver("PILS", "B", "600 kg", "SILO3", hours=2, note="B")
    brew(layered, 2, ("A", "SILO3", "500 kg"), hours=3)
    brew(layered, 3, ("A", "SILO3", "100 kg"), ("B", "SILO3", "400 kg"), hours=4)
    layered.move("B", "SILO3", "STORE", "200 kg", hours=5)
    layered.deliver("PILS", "C", "900 kg", "SILO3", hours=5.5, note="C")
    brew(layered, 4, ("C", "SILO3", "300 kg"), hours=6)

    assert made_of(layered, "W1") == {"A": 400}
    assert made_of(layered, "W2") == {"A": 500}
    assert made_of(layered, "W3") == {"A": 100, "B": 400}
    assert made_of(layered, "W4") == {"C": 300}
    residues = made_of(layered, "W3", Link.Kind.CARRYOVER)
    assert residues == {"A": 0, "B": 0}
    assert made_of(layered, "W2", Link.Kind.CARRYOVER) == {}
    assert_all_is_accounted_for()


def test_within_the_band_a_brew_of_one_load_is_found_from_its_neighbour(layered: Brewhouse):
    layered.deliver("PILS", "A", "1000 kg", "SILO3", note="A")
    layered.deliver("PILS", "B", "600 kg", "SILO3", hours=2, note="B")
    brew(layered, 1, ("A", "SILO3", "900 kg"), hours=3)
    brew(layered, 2, ("A", "SILO3", "90 kg"), hours=4)
    brew(layered, 3, ("A", "SILO3", "10 kg"), ("B", "SILO3", "100 kg"), hours=5)
    brew(layered, 4, ("B", "SILO3", "100 kg"), hours=6)

    def reached(lot: str, *kinds: Link.Kind) -> set[str]:
        found = trace(layered.lot(lot), Direction.FORWARD, kinds=kinds).reached
        return {code for code in ("W1", "W2", "W3", "W4") if layered.lot(code).pk in found}

    assert reached("B", Link.Kind.INGREDIENT) == {"W3", "W4"}
    assert reached("B", Link.Kind.INGREDIENT, Link.Kind.CARRYOVER) == {"W2", "W3", "W4"}
    assert reached("A", Link.Kind.INGREDIENT, Link.Kind.CARRYOVER) == {"W1", "W2", "W3"}
    assert_all_is_accounted_for()


def assert_all_is_accounted_for() -> None:
    for lot in Lot.objects.all():
        balance = mass_balance(lot)
        assert balance.ledger_difference_micro == 0
        assert sum(entry.amount_micro for entry in balance.entries) == pytest.approx(lot.total_micro, rel=EXACTLY)
