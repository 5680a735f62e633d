"""How often the pages of the stock ask the database: as often for a full brewery as for a small one."""

import pytest

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


def test_the_floor_asks_for_places_and_contents_of_vessels_stores_and_work_under_way(
    brewer, brewhouse, django_assert_num_queries
):
    for more in (lambda house: None, fill_stores):
        more(brewhouse)
        with django_assert_num_queries(WHO + 3 * 2):
            assert brewer.get("/").status_code == 200


def test_the_list_asks_for_its_lots_and_their_stock(brewer, brewhouse, django_assert_num_queries):
    for more in (lambda house: None, fill_stores):
        more(brewhouse)
        with django_assert_num_queries(WHO + 2):
            assert brewer.get("/lots/").status_code == 200


def test_a_whole_code_is_looked_up_once(brewer, django_assert_num_queries):
    with django_assert_num_queries(WHO + 1):
        assert brewer.get("/lots/?q=KEG1").status_code == 302
