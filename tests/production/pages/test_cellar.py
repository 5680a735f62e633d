"""The cellar's pages: the board, each tank, and the work on it; what is to be known is told before it is done."""

from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.models import Cleaning, Event, Lot, Material
from inventory.queries.vessels import State, state_of
from tests.brewhouse import Brewhouse, at, micro, rid
from tests.production.cellar import fermenting, measured, read
from tests.signing import signed_in
from tests.standing import built_once

WHEN = "2026-03-08T18:00"


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1000 L of beer T1 lie in FV1."""
    brewhouse.stock_up()
    brewhouse.ferment()
    return brewhouse


@pytest.fixture
def cellarman(house: Brewhouse) -> Client:
    return signed_in(house, "brewing")


def choice(house: Brewhouse, lot: str, place: str) -> str:
    return str(house.lot(lot).balances.get(location=house.place(place)).pk)


def send(client: Any, work: str, *, tank: str = "FV1", **fields: Any) -> Any:
    """Send the form of a work on a tank, as `send_to`."""
    return send_to(client, f"/cellar/{tank}/{work}/", **fields)


def send_to(client: Any, address: str, **fields: Any) -> Any:
    """Send a form, and once more with what was seen where something was told first."""
    asked = {"request_id": rid(), "happened_at": WHEN, **fields}
    answer = client.post(address, asked)
    if answer.status_code == 200:
        answer.told = answer.context["told"]
        seen = client.post(address, {**asked, "seen": answer.context["form"]["seen"].value()})
        seen.told = answer.told
        return seen
    answer.told = []
    return answer


def faults_of(answer: Any) -> str:
    assert answer.status_code == 400
    return str(answer.context["form"].errors)


def test_the_board_shows_what_each_vessel_holds_and_how_old_it_is(house: Brewhouse, cellarman: Client):
    cards = {card.vessel.location.code: card for _, group in _board(cellarman) for card in group}
    assert set(cards) == {"FV1", "FV2", "BT1", "BRINK1", "SILO1", "SILO2"}
    assert (cards["FV1"].lot.code, cards["FV1"].vessel.quantity_micro) == ("T1", micro("1000 L"))
    assert cards["FV1"].beginnings.pitched_at == at(11)
    assert [one.brew.code for one in cards["FV1"].beginnings.origins] == ["B1"]
    assert cards["FV2"].age_days is None


def _board(client: Client) -> Any:
    return client.get("/cellar/").context["groups"]


def test_a_held_lot_stands_before_the_rest(house: Brewhouse, cellarman: Client):
    house.ferment(hours=20, number=2, vessel="FV2")
    house.decide("T2", "on_hold", hours=40)
    assert _board(cellarman)[0][1][0].vessel.location.code == "FV2"


def test_the_board_asks_as_often_for_many_vessels_as_for_one(house: Brewhouse, cellarman: Client):
    def count() -> int:
        with CaptureQueriesContext(
            connection,
        ) as asked:
            cellarman.get("/cellar/")
        return len(asked)

    before = count()
    house.ferment(hours=20, number=2, vessel="FV2")
    house.transfer("FV2", "BT1", "300 L", hours=60)
    assert count() == before


def test_the_board_shows_what_was_read_and_how_fermentation_goes(house: Brewhouse, cellarman: Client):
    read(house, measured(house, "gravity", "10.5", 24), measured(house, "temperature", "12", 24))
    (card,) = [card for card in _board(cellarman)[0][1] if card.vessel.location.code == "FV1"]
    assert card.readings[0].startswith("Gravity 10.5")
    assert card.readings[1].startswith("Temperature 12")
    assert "Last read" in cellarman.get("/cellar/FV1/").content.decode()


def test_the_board_says_what_the_sheet_wants_next(brewhouse: Brewhouse):
    fermenting(brewhouse)
    (card,) = [card for card in _board(signed_in(brewhouse, "brewing"))[0][1] if card.vessel.location.code == "FV1"]
    assert card.day.next == "ready"
    assert card.day.is_overdue


def test_all_of_a_tank_goes_less_the_loss(house: Brewhouse, cellarman: Client):
    answer = send(cellarman, "transfer", to_vessel="BT1", loss="20")
    assert (answer.status_code, answer.url) == (303, "/cellar/FV1/")
    assert (house.held("T1", "FV1"), house.held("T1", "BT1")) == (0, micro("980 L"))


def test_a_form_that_is_sent_twice_transfers_once(house: Brewhouse, cellarman: Client):
    asked = {"request_id": rid(), "happened_at": WHEN, "to_vessel": "BT1"}
    for _ in range(2):
        assert cellarman.post("/cellar/FV1/transfer/", asked).status_code == 303
    assert Event.objects.filter(kind="transfer").count() == 1


def test_a_blend_is_told_before_it_is_made(house: Brewhouse, cellarman: Client):
    house.ferment(hours=20, number=2, vessel="FV2")
    asked = {"request_id": rid(), "happened_at": WHEN, "to_vessel": "FV2", "quantity": "250", "contents_code": "X1"}
    answer = cellarman.post("/cellar/FV1/transfer/", asked)
    assert "20.0 % of it from Fermenter 1" in answer.context["told"][0]
    assert not Lot.objects.filter(code="X1").exists()
    seen = answer.context["form"]["seen"].value()
    changed = cellarman.post("/cellar/FV1/transfer/", {**asked, "quantity": "500", "seen": seen})
    assert "33.3 % of it" in changed.context["told"][0], "what was seen of another volume does not count"
    assert cellarman.post("/cellar/FV1/transfer/", {**asked, "seen": seen}).status_code == 303
    assert house.held("X1", "FV2") == micro("1250 L")


def test_kraeusen_tells_both_shares_and_makes_one_lot_of_both(house: Brewhouse, cellarman: Client):
    house.ferment(hours=20, number=2, vessel="FV2")
    answer = send(cellarman, "kraeusen", from_vessel="FV2", quantity="120", contents_code="X1")
    assert "12.0 % of the green beer and 10.7 % of the blend" in answer.told[0]
    assert len(answer.told) == 1
    assert Lot.objects.get(code="X1").made_by.kind == Event.Kind.KRAEUSEN
    assert house.held("X1", "FV1") == micro("1120 L")


def test_unusually_much_kraeusen_is_doubted_and_never_refused(house: Brewhouse, cellarman: Client):
    house.ferment(hours=20, number=2, vessel="FV2")
    answer = send(cellarman, "kraeusen", from_vessel="FV2", quantity="400", contents_code="X1")
    assert "is unusual" in answer.told[1]
    assert answer.status_code == 303


def test_dry_hops_are_weighed_by_a_dose_in_grams_a_litre(house: Brewhouse, cellarman: Client):
    shown = cellarman.get("/cellar/FV1/dry-hop/").content.decode()
    assert "H2 in Dry store: 20 kg, alpha not certified, oil not certified" in shown
    answer = send(cellarman, "dry-hop", lot=choice(house, "H2", "STORE"), by="g_l", dose="4", contents_code="D1")
    assert "Weigh 4\N{NO-BREAK SPACE}kg of lot H2" in answer.told[0]
    assert house.held("H2", "STORE") == micro("16 kg")


def test_dry_hops_are_not_dosed_by_oil_that_nobody_certified(house: Brewhouse, cellarman: Client):
    lot = choice(house, "H2", "STORE")
    answer = send(cellarman, "dry-hop", lot=lot, by="oil", dose="2", contents_code="D1")
    assert "dose it by weight" in faults_of(answer)


def test_finings_tell_the_allergens_they_bring(house: Brewhouse, cellarman: Client):
    fining, malt = house.material("ISINGLASS"), house.material("PILS")
    fining.allergens, malt.allergens = ["fish"], ["barley"]
    fining.save()
    malt.save()
    lot = choice(house, "F1", "COLD")
    answer = send(cellarman, "addition", lot=lot, quantity="2", contents_code="D1")
    assert answer.told[0] == "Isinglass carries fish. The contents then carry barley, fish."
    assert "New in this beer: fish" in answer.told[1]
    assert house.held("D1", "FV1") == micro("1000 L")


def test_a_filtration_books_aid_and_loss_and_doubts_what_is_unusual(house: Brewhouse, cellarman: Client):
    answer = send(
        cellarman,
        "filtration",
        to_vessel="BT1",
        quantity="900",
        loss="60",
        aid_1=choice(house, "A1", "STORE"),
        aid_1_quantity="1.5",
        contents_code="BB1",
    )
    assert "Loss in filtration of 6.25 %" in answer.told[0]
    assert "4.0 % of the tank stay behind" in answer.told[1]
    assert house.held("BB1", "BT1") == micro("900 L")
    assert house.held("A1", "STORE") == micro("98.5 kg")


def test_an_aid_without_a_quantity_is_refused_beside_its_field(house: Brewhouse, cellarman: Client):
    aid = choice(house, "A1", "STORE")
    answer = send(cellarman, "filtration", to_vessel="BT1", quantity="900", aid_1=aid, contents_code="BB1")
    assert "Give the lot and how much of it" in faults_of(answer)


def test_dilution_tells_volume_and_strength_after(house: Brewhouse, cellarman: Client):
    Material.objects.create(code="LIQUOR", name="Deaerated liquor", kind="water", base_unit="L", arrives="released")
    house.deliver("LIQUOR", "L1", "1000 L")
    lot = choice(house, "L1", "STORE")
    answer = send(cellarman, "dilution", lot=lot, quantity="250", strength="6", contents_code="D1")
    assert "make 1\N{NARROW NO-BREAK SPACE}250\N{NO-BREAK SPACE}L by the book" in answer.told[0]
    assert "6 % vol become about 4.80 % vol" in answer.told[1]
    assert house.held("D1", "FV1") == micro("1250 L")


def test_a_gauge_puts_the_book_right_for_a_reason(house: Brewhouse, cellarman: Client):
    assert "needs a reason" in faults_of(send(cellarman, "gauge", quantity="970", lot_seen="T1"))
    answer = send(cellarman, "gauge", quantity="970", reason="sight glass", lot_seen="T1")
    assert "(-3.0 %) go to count differences" in answer.told[0]
    assert house.held("T1", "FV1") == micro("970 L")


def test_beer_is_dumped_by_those_who_may_and_for_a_reason(house: Brewhouse, cellarman: Client):
    assert cellarman.get("/cellar/FV1/dump/").status_code == 403
    quality = signed_in(house, "quality")
    answer = send(quality, "dump", quantity="1000", reason="infected", lot_seen="T1")
    assert (answer.status_code, house.held("T1", "FV1")) == (303, 0)


def test_the_last_work_is_undone_while_it_is_unused(house: Brewhouse, cellarman: Client):
    event = house.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=100)
    answer = cellarman.post("/cellar/FV1/undo/", {"request_id": rid(), "event": event.pk, "reason": "wrong tank"})
    assert answer.status_code == 303
    assert house.held("T1", "FV1") == micro("1000 L")


def test_what_was_used_since_says_why_it_cannot_be_undone(house: Brewhouse, cellarman: Client):
    house.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=100)
    house.transfer("FV1", "BT1", "500 L", hours=120)
    shown = cellarman.get("/cellar/FV1/").content.decode()
    assert "It cannot be undone: lot D1 was used since, by transfer at" in shown


def test_an_event_of_another_tank_is_not_undone_here(house: Brewhouse, cellarman: Client):
    event = house.deliver("PILS", "M9", "10 kg")
    answer = cellarman.post("/cellar/FV1/undo/", {"request_id": rid(), "event": event.pk, "reason": "wrong"})
    assert "There is no event in Fermenter 1" in faults_of(answer)


def test_an_empty_tank_offers_care_and_nothing_else(cellarman: Client):
    work = cellarman.get("/cellar/FV2/").context["work"]
    assert [label for label, _ in work] == ["Clean", "Take out of service"]
    assert "nothing in it to do this with" in cellarman.get("/cellar/FV2/transfer/").content.decode()


@pytest.mark.parametrize("code", ["NONE", "STORE", "F\x00"])
def test_what_is_no_vessel_is_not_found(cellarman: Client, code: str):
    assert cellarman.get(f"/cellar/{code}/").status_code == 404


def test_beer_goes_into_an_uncleaned_tank_with_a_reason_and_a_code(house: Brewhouse, cellarman: Client):
    house.transfer("FV1", "BT1", "500 L", hours=100)
    house.destroy("T1", "BT1", "500 L", hours=101)
    house.pitch("FV1", "T2", ("Y1", "COLD", "1 kg"), hours=102)
    assert "was not cleaned after lot T1" in faults_of(send(cellarman, "transfer", to_vessel="BT1", quantity="100"))
    sent = send(
        cellarman, "transfer", to_vessel="BT1", quantity="100", contents_code="U1", unclean_reason="the pump is down"
    )
    assert sent.status_code == 303
    assert house.held("U1", "BT1") == micro("100 L")


@built_once
def emptied(house: Brewhouse) -> Brewhouse:
    """T1 lay in FV1 until it went to BT1 at hour 100; nobody cleaned FV1."""
    house.transfer("FV1", "BT1", "1000 L", hours=100)
    return house


def care(client: Any, work: str, **fields: Any) -> Any:
    return client.post(f"/cellar/FV1/{work}/", {"request_id": rid(), "happened_at": WHEN, **fields})


def state_in(house: Brewhouse) -> str:
    return state_of(house.place("FV1")).state


def test_board_and_tank_say_that_nobody_cleaned_it_and_after_which_lot(emptied: Brewhouse, cellarman: Client):
    for address in ("/cellar/", "/cellar/FV1/"):
        shown = cellarman.get(address).content.decode()
        assert f'not cleaned since lot <a class="code" href="/lots/{emptied.lot("T1").pk}/">T1</a>' in shown


def test_the_tank_tells_what_lay_in_it_from_when_until_when_and_how_much(emptied: Brewhouse, cellarman: Client):
    stays = cellarman.get("/cellar/FV1/").context["stays"]
    assert [stay.lot.code for stay in stays] == ["T1", "W1"]
    assert (stays[0].since, stays[0].until, stays[0].most_micro) == (at(11), at(100), micro("1000 L"))
    facts = {fact.label: fact.text for fact in cellarman.get("/cellar/FV1/").context["facts"]}
    assert facts["State"] == "Empty, since 6 Mar 2026, 13:00"


def test_a_cleaning_is_written_down_once_and_the_board_tells_it(emptied: Brewhouse, cellarman: Client):
    request = rid()
    for _ in range(2):
        answer = care(cellarman, "cleaning", programme="caustic, acid", remark="ball was blocked", request_id=request)
        assert (answer.status_code, answer.url) == (303, "/cellar/FV1/")
    assert (Cleaning.objects.count(), state_in(emptied)) == (1, State.CLEAN)
    assert "Clean and empty" in cellarman.get("/cellar/").content.decode()
    shown = cellarman.get("/cellar/FV1/").content.decode()
    assert "caustic, acid" in shown
    assert "ball was blocked" in shown
    assert '<option value="caustic, acid">' in cellarman.get("/cellar/FV1/cleaning/").content.decode()


def test_the_form_of_a_cleaning_warns_of_caustic_gas_and_confined_space(emptied: Brewhouse, cellarman: Client):
    shown = cellarman.get("/cellar/FV1/cleaning/").content.decode()
    for caution in ("Caustic, acid and vacuum", "Carbon dioxide and pressure", "Nobody enters a tank alone"):
        assert caution in shown


def test_a_full_tank_is_not_cleaned_and_offers_no_cleaning(house: Brewhouse, cellarman: Client):
    assert "cleaning/" not in str(cellarman.get("/cellar/FV1/").context["work"])
    assert "Fermenter 1 holds lot T1" in faults_of(care(cellarman, "cleaning", programme="caustic"))


def test_a_cleaning_is_withdrawn_for_a_reason(emptied: Brewhouse, cellarman: Client):
    done = emptied.clean("FV1", hours=110)
    assert f"?cleaning={done.pk}" in cellarman.get("/cellar/FV1/").content.decode()
    assert care(cellarman, "cleaning-withdrawal", cleaning=done.pk).status_code == 400
    answer = care(cellarman, "cleaning-withdrawal", cleaning=done.pk, reason="it was another tank")
    assert (answer.status_code, state_in(emptied)) == (303, State.EMPTY)
    assert "it was another tank" in cellarman.get("/cellar/FV1/").content.decode()
    again = care(cellarman, "cleaning-withdrawal", cleaning=done.pk, reason="once more")
    assert "was withdrawn already" in faults_of(again)


def test_a_cleaning_of_another_tank_is_not_withdrawn_here(emptied: Brewhouse, cellarman: Client):
    other = emptied.clean("FV2", hours=110)
    answer = care(cellarman, "cleaning-withdrawal", cleaning=other.pk, reason="mistake")
    assert "There is no cleaning of Fermenter 1" in faults_of(answer)


def test_a_tank_goes_out_of_service_for_a_reason_and_comes_back(emptied: Brewhouse, cellarman: Client):
    assert care(cellarman, "out-of-service").status_code == 400
    assert care(cellarman, "out-of-service", reason="the manway leaks").status_code == 303
    for address in ("/cellar/", "/cellar/FV1/"):
        assert "the manway leaks" in cellarman.get(address).content.decode()
    work = dict(cellarman.get("/cellar/FV1/").context["work"])
    assert work["Put back into service"] == "/cellar/FV1/into-service/"
    assert care(cellarman, "into-service", reason="a new seal").status_code == 303
    assert state_in(emptied) == State.EMPTY


def test_a_tank_out_of_service_is_offered_by_no_form_and_not_filled(house: Brewhouse, cellarman: Client):
    house.out_of_service("FV2", hours=110)
    assert "Fermenter 2" not in cellarman.get("/cellar/FV1/transfer/").content.decode()
    answer = send(cellarman, "transfer", to_vessel="FV2")
    assert "Fermenter 2 is out of service since" in str(answer.context["form"].non_field_errors())


def test_who_may_not_look_after_vessels_is_offered_no_care(emptied: Brewhouse):
    emptied.clean("FV1", hours=110)
    shown = signed_in(emptied, "auditor").get("/cellar/FV1/")
    assert shown.context["work"] == []
    assert "cleaning-withdrawal" not in shown.content.decode()
