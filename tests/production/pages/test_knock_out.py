"""The page that knocks a brew out: wort into tanks, hot or cold, into occupied ones too, and undone again."""

from typing import Any

import pytest
from django.contrib.auth.models import Group
from django.test import Client

from inventory.models import Event, Link
from tests.brewhouse import Brewhouse, at, micro, rid
from tests.production.brewday import reading, write
from tests.signing import signed_in
from tests.standing import built_once

DAY = "/brewing/brews/B1/"
PAGE = f"{DAY}knock-out/"


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """200 kg of malt are drawn for B1; both fermenters are empty."""
    brewhouse.deliver("PILS", "M1", "500 kg")
    brewhouse.draw(brewhouse.start_brew("B1", hours=1), ("M1", "STORE", "200 kg"), hours=1)
    return brewhouse


@pytest.fixture
def brewer(house: Brewhouse) -> Client:
    return signed_in(house, "brewing")


def knock_out(house: Brewhouse, client: Client, volumes: dict[str, str], **fields: Any) -> Any:
    told = {f"volume-{house.place(tank).pk}": volume for tank, volume in volumes.items()}
    asked = {
        "request_id": rid(),
        "wort_material": house.material("WORT").pk,
        "wort_code": "W1",
        "happened_at": "2026-03-02T18:00",
    }
    return client.post(PAGE, {**asked, **told, **fields})


def occupy(house: Brewhouse) -> str:
    """Put 600 L into FV1 and return the name of the field for the code of its new contents."""
    first = house.start_brew("B0", hours=1)
    house.draw(first, ("M1", "STORE", "100 kg"), hours=1)
    house.knock_out(first, "W0", {"FV1": "600 L"}, hours=2)
    return f"contents-{house.place('FV1').pk}"


def faults_of(answer: Any) -> str:
    assert answer.status_code == 400
    return str(answer.context["form"].errors)


def test_the_form_proposes_a_code_and_says_what_each_tank_takes(brewer: Client):
    shown = brewer.get(PAGE).content.decode()
    assert 'value="WO' in shown
    assert "room for 4\N{NARROW NO-BREAK SPACE}000\N{NO-BREAK SPACE}L of" in shown
    assert "nobody wrote down what it takes" in shown
    assert "200\N{NO-BREAK SPACE}kg Pilsner malt" in shown


def test_wort_lies_in_two_tanks_and_the_brew_day_tells_it(house: Brewhouse, brewer: Client):
    answer = knock_out(house, brewer, {"FV1": "600", "FV2": "6 hL"}, loss="30")
    assert (answer.status_code, answer.url) == (303, DAY)
    assert (house.held("W1", "FV1"), house.held("W1", "FV2")) == (micro("600 L"), micro("600 L"))
    shown = brewer.get(DAY).content.decode()
    assert "1\N{NARROW NO-BREAK SPACE}230\N{NO-BREAK SPACE}L</strong> of Lager wort" in shown
    assert "2.44\N{NO-BREAK SPACE}% of the wort" in shown


def test_a_volume_read_hot_is_booked_cold(house: Brewhouse, brewer: Client):
    answer = knock_out(house, brewer, {"FV1": "1000"}, is_hot="on", loss="20")
    assert house.held("W1", "FV1") == micro("960 L")
    assert house.lot("W1").made_micro == micro("980 L")
    said = brewer.get(answer.url).content.decode()
    assert "960\N{NO-BREAK SPACE}L of cold wort in the tanks, 4 % less than was read hot." in said


def test_the_log_s_volumes_are_shown_hot_and_cold(house: Brewhouse, brewer: Client):
    write(house, house.brew("B1"), reading("cast_out", "volume", "1000", hot=True))
    assert "Volume 1000 L, hot; cold 960\N{NO-BREAK SPACE}L at 4 %" in brewer.get(PAGE).content.decode()


def test_a_form_that_is_sent_twice_knocks_out_once(house: Brewhouse, brewer: Client):
    request = rid()
    for _ in range(2):
        assert knock_out(house, brewer, {"FV1": "4000"}, request_id=request).status_code == 303
    assert Event.objects.filter(kind="knock_out").count() == 1


def test_an_occupied_tank_gets_new_contents_under_a_code(house: Brewhouse, brewer: Client):
    contents = occupy(house)
    assert "Fermenter 1 holds lot W0" in faults_of(knock_out(house, brewer, {"FV1": "400"}))
    assert knock_out(house, brewer, {"FV1": "400"}, **{contents: "W2"}).status_code == 303
    assert house.held("W2", "FV1") == micro("1000 L")
    assert "blended with what it held" in brewer.get(DAY).content.decode()


def test_a_tank_that_is_full_is_not_offered(house: Brewhouse, brewer: Client):
    first = house.start_brew("B0", hours=1)
    house.draw(first, ("M1", "STORE", "100 kg"), hours=1)
    house.knock_out(first, "W0", {"FV1": "4000 L"}, hours=2)
    shown = brewer.get(PAGE).content.decode()
    assert "<legend>Fermenter 1</legend>" not in shown
    assert "<legend>Fermenter 2</legend>" in shown


def test_more_than_the_tank_takes_is_refused_in_words(house: Brewhouse, brewer: Client):
    assert "Fermenter 1 takes 4000 L" in faults_of(knock_out(house, brewer, {"FV1": "4001"}))
    assert Event.objects.filter(kind="knock_out").count() == 0


def test_what_is_no_volume_is_refused_beside_its_field(house: Brewhouse, brewer: Client):
    answer = knock_out(house, brewer, {"FV1": "much"})
    assert f"volume-{house.place('FV1').pk}" in answer.context["form"].errors


def test_a_lot_on_hold_needs_an_override_by_those_who_may(house: Brewhouse, brewer: Client):
    house.decide("M1", "on_hold", hours=3)
    assert "is on hold" in faults_of(knock_out(house, brewer, {"FV1": "600"}, override_reason="it is fine"))
    assert "Override, because" not in brewer.get(PAGE).content.decode()
    house.people["brewing"].groups.add(Group.objects.get(name="quality"))
    assert "Override, because" in brewer.get(PAGE).content.decode()
    assert knock_out(house, brewer, {"FV1": "600"}, override_reason="it is fine").status_code == 303
    assert Event.objects.get(kind="knock_out").override_reason == "it is fine"


def test_who_may_not_brew_sees_no_form(house: Brewhouse):
    assert signed_in(house, "auditor").get(PAGE).status_code == 403


def test_a_knocked_out_brew_shows_its_day_instead(house: Brewhouse, brewer: Client):
    knock_out(house, brewer, {"FV1": "600"})
    assert brewer.get(PAGE).url == DAY


def test_a_knock_out_into_an_occupied_tank_is_undone_by_one_button(house: Brewhouse, brewer: Client):
    contents = occupy(house)
    knock_out(house, brewer, {"FV1": "400", "FV2": "100"}, **{contents: "W2"})
    assert "knock-out-undo" in brewer.get(DAY).content.decode()
    request = rid()
    for _ in range(2):
        assert brewer.post(f"{DAY}knock-out-undo/", {"request_id": request}).status_code == 303
    assert (house.held("W0", "FV1"), house.held("M1", "B1")) == (micro("600 L"), micro("200 kg"))
    assert Event.objects.filter(kind="reverse").count() == 2
    assert "Knock it out" in brewer.get(DAY).content.decode()
    assert knock_out(house, brewer, {"FV2": "500"}).status_code == 303


def test_a_knock_out_whose_wort_went_on_is_not_undone_and_nothing_of_it_is(house: Brewhouse, brewer: Client):
    contents = occupy(house)
    knock_out(house, brewer, {"FV1": "400", "FV2": "100"}, **{contents: "W2"})
    house.transfer("FV2", "BT1", "50 L", hours=11)
    answer = brewer.post(f"{DAY}knock-out-undo/", {"request_id": rid()})
    assert answer.status_code == 400
    assert "lot W1" in answer.content.decode()
    assert house.held("W2", "FV1") == micro("1000 L")


def test_a_brew_under_way_has_no_knock_out_to_undo(house: Brewhouse, brewer: Client):
    answer = brewer.post(f"{DAY}knock-out-undo/", {"request_id": rid()})
    assert "Brew B1 is under way: there is no knock-out to undo." in answer.content.decode()


def test_wort_whose_blending_alone_was_reversed_is_told(house: Brewhouse, brewer: Client):
    contents = occupy(house)
    knock_out(house, brewer, {"FV1": "400"}, **{contents: "W2"})
    house.reverse(Event.objects.get(kind="blend"))
    assert "400\N{NO-BREAK SPACE}L lie in the brew again" in brewer.get(DAY).content.decode()
    assert brewer.post(f"{DAY}knock-out-undo/", {"request_id": rid()}).status_code == 303
    assert house.held("M1", "B1") == micro("200 kg")


def test_the_moment_is_the_one_that_is_typed(house: Brewhouse, brewer: Client):
    knock_out(house, brewer, {"FV1": "400"})
    assert Event.objects.get(kind="knock_out").happened_at == at(9)


def test_an_uncleaned_tank_is_told_as_one_and_filled_with_a_reason(house: Brewhouse, brewer: Client):
    occupy(house)
    house.destroy("W0", "FV1", "600 L", hours=3)
    assert "not cleaned after lot" in brewer.get(PAGE).content.decode()
    refused = knock_out(house, brewer, {"FV1": "900"})
    assert "was not cleaned after lot W0 had lain in it" in faults_of(refused)
    knock_out(house, brewer, {"FV1": "900"}, unclean_reason="the pump is down")
    assert house.held("W1", "FV1") == micro("900 L")
    assert [link.parent.code for link in house.lot("W1").links_to_parents.filter(kind=Link.Kind.CARRYOVER)] == ["W0"]
