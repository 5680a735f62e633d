"""How often a lot's page asks the database: as often for a lot with a long history as for one without any."""

import pytest

WHO = 3
"""The session, the person, and her roles."""
LOT_AND_LEDGER = 2
CAPTURED = 2
"""What others told of it, by its name, which follows from the trade items."""
A_TRACE = 3
"""The links, the lots and the places; twice, back and forward."""
STANDING = 5
"""Decisions, certificates, what is asked, what is stated, and the materials of all lots back."""
BALANCE = 3
"""The links once more, and the kinds of all places and lots."""
OF_ITS_KIND = {"KEG1": 1, "BB1": -1}
"""Of packaged beer alone, what was measured of it; of beer in tanks nothing is asked but of its readings."""


@pytest.mark.parametrize("code", ["BB1", "K1", "KEG1", "H1"])
def test_a_lot_asks_for_itself_its_two_traces_and_its_balance(client, brewhouse, django_assert_num_queries, code):
    of_its_kind = OF_ITS_KIND.get(code, 0)
    brewhouse.whole_chain()
    client.force_login(brewhouse.people["quality"])
    address = f"/lots/{brewhouse.lot(code).pk}/"
    with django_assert_num_queries(WHO + LOT_AND_LEDGER + CAPTURED + 2 * A_TRACE + STANDING + BALANCE + of_its_kind):
        assert client.get(address).status_code == 200


@pytest.mark.usefixtures("whole_chain")
def test_a_lot_with_many_children_asks_no_oftener(client, brewhouse, django_assert_num_queries):
    for number in range(2, 8):
        brew = brewhouse.start_brew(f"B{number}", hours=400 + number)
        brewhouse.draw(brew, ("M1", "SILO1", "20 kg"), hours=400 + number)
        fill = "100 L" if number == 2 else ("100 L", f"C{number}")
        brewhouse.knock_out(brew, f"W{number}", {"FV2": fill}, hours=400.5 + number)
    client.force_login(brewhouse.people["quality"])
    address = f"/lots/{brewhouse.lot('M1').pk}/"
    with django_assert_num_queries(WHO + LOT_AND_LEDGER + CAPTURED + 2 * A_TRACE + STANDING + BALANCE):
        assert client.get(address).status_code == 200
