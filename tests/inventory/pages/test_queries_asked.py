"""How often the pages of the stock ask the database: as often for a full brewery as for a small one."""

import pytest

from inventory.services.pallets import load_pallet, make_pallet
from tests.brewhouse import at

WHO = 3
"""The session, the person, and her roles."""


@pytest.fixture
def brewer(client, brewhouse):
    brewhouse.whole_chain()
    client.force_login(brewhouse.people["brewing"])
    return client


def fill_stores(brewhouse):
    for number in range(12):
        brewhouse.deliver("SAAZ", f"MORE-{number}", "5 kg", hours=400, note=f"M{number}")
        unit = make_pallet(stands_in=brewhouse.place("COLD"), made_at=at(401), **brewhouse.by("receiving"))
        parts = brewhouse.parts([(f"MORE-{number}", "STORE", "2 kg")])
        load_pallet(unit=unit, parts=parts, happened_at=at(402), **brewhouse.by("receiving"))


def test_the_floor_asks_for_places_and_contents_of_vessels_stores_and_work_under_way_and_for_pallets(
    brewer, brewhouse, django_assert_num_queries
):
    for more in (lambda house: None, fill_stores):
        more(brewhouse)
        with django_assert_num_queries(WHO + 3 * 2 + 1):
            assert brewer.get("/").status_code == 200


def test_the_list_asks_for_its_lots_and_their_stock(brewer, brewhouse, django_assert_num_queries):
    for more in (lambda house: None, fill_stores):
        more(brewhouse)
        with django_assert_num_queries(WHO + 2):
            assert brewer.get("/lots/").status_code == 200


def test_a_whole_code_is_looked_up_once(brewer, django_assert_num_queries):
    with django_assert_num_queries(WHO + 1):
        assert brewer.get("/lots/?q=KEG1").status_code == 302


def test_the_pallets_ask_for_what_lies_on_them_and_where_they_stood(brewer, brewhouse, django_assert_num_queries):
    for more in (lambda house: None, fill_stores):
        more(brewhouse)
        # what is on the list below the field; the pallets, what lies on them, their moves: where there are any
        with django_assert_num_queries(WHO + 2 + 2 * (more is fill_stores)):
            assert brewer.get("/pallets/").status_code == 200


def test_a_place_asks_for_what_lies_there_and_on_its_pallets(brewer, brewhouse, django_assert_num_queries):
    for more in (lambda house: None, fill_stores):
        more(brewhouse)
        cold = brewhouse.place("COLD").pk
        with django_assert_num_queries(WHO + 4):
            assert brewer.get(f"/places/{cold}/").status_code == 200
