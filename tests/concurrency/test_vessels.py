"""Vessels that several people fill, clean and take out of service at once. On PostgreSQL, where they really do."""

from collections.abc import Callable

import pytest

from inventory.queries.audits import run_audits
from inventory.queries.vessels import state_of
from tests.brewhouse import Brewhouse
from tests.concurrency.test_draws import side_by_side

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]

VESSELS = 12


@pytest.fixture
def house(brewhouse: Brewhouse) -> Brewhouse:
    """Twelve brinks, each emptied of a lot of its own, and as many lots of yeast in the cold store."""
    for number in range(VESSELS):
        place = brewhouse.place("BRINK1")
        place.pk, place.code, place.name = None, f"K{number}", f"Brink {number}"
        place.save()
        brewhouse.deliver("YEAST", f"A{number}", "9 kg", place.code, note=f"A{number}")
        brewhouse.destroy(f"A{number}", place.code, "9 kg", hours=1)
        brewhouse.deliver("YEAST", f"B{number}", "9 kg", "COLD", note=f"B{number}")
    return brewhouse


def two_at_each(house: Brewhouse, other: Callable[[int], object], unclean: str = "") -> dict[str, int]:
    """At each brink one fills it while another does something else."""

    def work(number: int) -> None:
        brink = number // 2
        if number % 2:
            other(brink)
        else:
            house.move(f"B{brink}", "COLD", f"K{brink}", "9 kg", hours=5, contents=f"C{brink}", unclean=unclean)

    return side_by_side(2 * VESSELS, work)


def test_nothing_goes_into_a_vessel_that_is_just_taken_out_of_service(house: Brewhouse):
    met = two_at_each(house, lambda brink: house.out_of_service(f"K{brink}", hours=5), unclean="in haste")
    assert met["done"] == VESSELS
    assert met["VesselInUse"] + met["VesselOutOfService"] == VESSELS
    for number in range(VESSELS):
        state = state_of(house.place(f"K{number}"))
        assert bool(state.contents) != bool(state.mark)


def test_a_vessel_is_cleaned_before_it_is_filled_or_not_at_all(house: Brewhouse):
    met = two_at_each(house, lambda brink: house.clean(f"K{brink}", hours=5))
    assert sum(met.values()) == 2 * VESSELS
    assert set(met) <= {"done", "VesselInUse", "VesselNotClean"}
    assert met["VesselInUse"] == 0
    assert [finding for _, findings in run_audits() for finding in findings] == []
