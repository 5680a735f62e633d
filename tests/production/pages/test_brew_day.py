"""The page of a brew day: what is drawn, brought back, undone and logged on it, and what it says when it refuses."""

import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from brewery.production.models import LogEntry, Substitution
from inventory.models import Event
from tests.brewhouse import START, Brewhouse, at, micro, rid
from tests.inventory.laboratory import Laboratory
from tests.inventory.papers import PNG
from tests.production.brewday import brew_by, sheet_of
from tests.signing import signed_in
from tests.standing import built_once

PAGE = "/brewing/brews/B1/"


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """B1 wants 200 kg of Pilsner malt and 100 g alpha of Saaz; M1, M2, H1 and C1 are here."""
    brewhouse.deliver("PILS", "M1", "300 kg")
    brewhouse.deliver("PILS", "M2", "300 kg", note="2")
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    brewhouse.deliver("CASCADE", "C1", "20 kg", supplier="HOPYARD", note="2")
    Laboratory(brewhouse).enter("H1", values={"alpha": "4"}, number="A-1", issued_on=START.date())
    brew_by(brewhouse, sheet_of(brewhouse))
    return brewhouse


@pytest.fixture
def brewer(house: Brewhouse) -> Client:
    return signed_in(house, "brewing")


def send(client: Client, part: str, **fields: Any) -> Any:
    return client.post(f"{PAGE}{part}/", {"request_id": rid(), **fields})


def draw(client: Client, **fields: Any) -> Any:
    return send(client, "draws", **{"lot": "M1", "quantity": "120", **fields})


def text_of(client: Client) -> str:
    return client.get(PAGE).content.decode()


def test_the_page_proposes_lots_and_says_why_hops_weigh_what_they_do(brewer: Client):
    shown = text_of(brewer)
    assert "4 % by certificate A-1 of 2026-03-02" in shown
    assert 'value="2.5"' in shown
    assert 'inputmode="decimal"' in shown


def test_what_is_drawn_lies_in_the_brew_and_is_no_longer_wanted(house: Brewhouse, brewer: Client):
    assert draw(brewer).status_code == 303
    assert house.held("M1", "B1") == micro("120 kg")
    assert "80\N{NO-BREAK SPACE}kg left" in text_of(brewer)


def test_a_draw_that_is_sent_twice_is_drawn_once(house: Brewhouse, brewer: Client):
    request = rid()
    for _ in range(2):
        assert draw(brewer, request_id=request).status_code == 303
    assert house.held("M1", "B1") == micro("120 kg")


def test_a_draw_of_all_there_is_may_be_sent_again_too(house: Brewhouse, brewer: Client):
    house.destroy("M1", "STORE", "180 kg", hours=1)
    request = rid()
    for _ in range(2):
        assert draw(brewer, request_id=request).status_code == 303
    assert (house.held("M1", "B1"), house.held("M1", "STORE")) == (micro("120 kg"), 0)


def test_what_waited_for_a_connection_keeps_the_moment_at_which_it_was_noted(house: Brewhouse, brewer: Client):
    draw(brewer, noted_at=at(5).isoformat())
    assert Event.objects.get(kind="draw").happened_at == at(5)


def test_a_substitute_is_drawn_with_its_reason(house: Brewhouse, brewer: Client):
    substitute = {"lot": "C1", "quantity": "1", "wanted": "SAAZ"}
    refused = draw(brewer, **substitute)
    assert refused.status_code == 400
    assert "A substitution needs a reason." in refused.content.decode()
    assert draw(brewer, **substitute, reason="no Saaz left").status_code == 303
    assert Substitution.objects.get().reason == "no Saaz left"
    assert "In place of Saaz: no Saaz left." in text_of(brewer)


def test_too_much_is_refused_beside_the_reason_that_it_needs(house: Brewhouse, brewer: Client):
    refused = draw(brewer, quantity="210")
    assert refused.context["refused"]["form"].errors["reason"] == [
        "Of Pilsner malt the sheet asks for 200 kg; with this 210 kg would be drawn, 5 % more. Draw less, or say why."
    ]
    assert draw(brewer, quantity="210", reason="wet malt").status_code == 303


def test_a_lot_on_hold_is_refused_with_another_and_overridden_by_nobody_who_may_not(house: Brewhouse, brewer: Client):
    house.decide("M1", "on_hold", hours=1)
    refused = draw(brewer, override_reason="it is fine")
    (sentence,) = refused.context["refused"]["form"].errors["lot"]
    assert sentence.startswith("Lot M1 is on hold")
    assert sentence.endswith("Free instead: 120 kg of lot M2 in Dry store.")
    assert "Override, because" not in refused.content.decode()


def test_a_lot_in_two_places_is_drawn_from_the_one_that_is_named(house: Brewhouse, brewer: Client):
    house.move("M1", "STORE", "COLD", "100 kg", hours=1)
    refused = draw(brewer, quantity="50")
    assert refused.context["refused"]["form"].errors["location"] == ["It lies in COLD and STORE: say from which."]
    draw(brewer, quantity="50", location="COLD")
    assert house.held("M1", "COLD") == micro("50 kg")


def test_some_of_it_is_brought_back(house: Brewhouse, brewer: Client):
    draw(brewer)
    assert send(brewer, "returns", lot="M1", location="STORE", quantity="20").status_code == 303
    assert house.held("M1", "B1") == micro("100 kg")


def test_a_draw_is_undone_by_one_button(house: Brewhouse, brewer: Client):
    draw(brewer)
    shown = text_of(brewer)
    assert 'accesskey="z"' in shown
    event = Event.objects.get(kind="draw").pk
    assert send(brewer, "undos", event=event).status_code == 303
    assert (house.held("M1", "B1"), house.held("M1", "STORE")) == (0, micro("300 kg"))


def test_only_a_draw_of_this_brew_is_undone(house: Brewhouse, brewer: Client):
    event = Event.objects.filter(kind="receive").latest("pk").pk
    assert send(brewer, "undos", event=event).status_code == 400
    assert Event.objects.filter(kind="reverse").count() == 0


def test_a_reading_is_written_and_corrected_and_what_is_off_is_marked(house: Brewhouse, brewer: Client):
    reading = {"step": "knock_out", "property": "gravity", "value": "11,2", "noted_at": at(9).isoformat()}
    assert send(brewer, "log", **reading).status_code == 303
    assert "11.2 °P; the sheet says 12 °P, give or take 0.3 °P." in text_of(brewer)
    entry = LogEntry.objects.get()
    changed = {**reading, "value": "12.1", "reason": "read too warm"}
    assert send(brewer, f"log/{entry.pk}", **changed).status_code == 303
    shown = text_of(brewer)
    assert "Replaced: read too warm." in shown
    assert "Gravity 12.1 °P" in shown
    again = send(brewer, f"log/{entry.pk}", **changed)
    assert "The line of 2026-03-02 18:00 was replaced by brewing" in again.content.decode()


def test_a_figure_that_cannot_be_is_refused_beside_it(house: Brewhouse, brewer: Client):
    refused = send(brewer, "log", step="mash", property="ph", value="54")
    assert refused.context["refused"]["form"].errors["value"] == ["54 cannot be; plausible is 3 to 9."]
    assert LogEntry.objects.count() == 0


def test_a_photo_is_added_to_the_day(house: Brewhouse, brewer: Client):
    assert send(brewer, "papers", papers=SimpleUploadedFile("lauter.png", PNG)).status_code == 303
    assert "lauter.png" in text_of(brewer)


def test_who_only_looks_is_shown_no_form(house: Brewhouse):
    shown = signed_in(house, "auditor").get(PAGE).content.decode()
    assert "data-outbox" not in shown
    assert 'lot <span class="code">M1</span>' in shown


def test_a_brew_that_is_knocked_out_is_not_drawn_for(house: Brewhouse, brewer: Client):
    draw(brewer, noted_at=at(3).isoformat())
    house.knock_out(house.brew("B1"), "W1", {"FV1": "1000 L"}, hours=9)
    assert "brew-draws" not in text_of(brewer)
    assert "Draw something else" not in text_of(brewer)
    refused = draw(brewer)
    assert "Brew B1 was knocked out at" in refused.content.decode()


def test_a_brew_that_is_none_is_not_found(house: Brewhouse, brewer: Client):
    assert brewer.get("/brewing/brews/B9/").status_code == 404


def test_the_list_names_every_brew(house: Brewhouse, brewer: Client):
    brew_by(house, None, "B2")
    shown = brewer.get("/brewing/brews/").content.decode()
    assert "/brewing/brews/B1/" in shown
    assert "version 1 of Quillmere Lager" in shown
    assert "no sheet" in shown


def test_its_forms_are_taken_without_scripts_as_they_stand_on_the_page(house: Brewhouse):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(house.people["brewing"])
    shown = browser.get(PAGE).content.decode()
    posted = shown.count('method="post"')
    tokens = re.findall(r'name="csrfmiddlewaretoken" value="(\w+)"', shown)
    assert posted == len(tokens) > 3
    drawn = browser.post(
        f"{PAGE}draws/", {"request_id": rid(), "lot": "M1", "quantity": "120", "csrfmiddlewaretoken": tokens[-1]}
    )
    assert drawn.status_code == 303
