"""The desk of quality: what waits and why, and one decision on as many lots as are ticked."""

import re
import uuid
from typing import Any

import pytest
from django.test import Client

from inventory.models import Decision, Event
from tests.brewhouse import Brewhouse, micro
from tests.inventory.laboratory import GOOD, Laboratory
from tests.standing import built_once

WHO = 3
"""The session, the person, and her roles."""


@built_once
def lab(brewhouse: Brewhouse) -> Laboratory:
    """M1 and M2 are quarantined, H1 is on hold, H2 rejected; P1 is released."""
    for number, code in enumerate(("M1", "M2")):
        brewhouse.deliver("MUNICH", code, "100 kg", note=str(number))
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    brewhouse.deliver("CASCADE", "H2", "20 kg", supplier="HOPYARD", note="2")
    brewhouse.deliver("PILS", "P1", "20 kg", note="3")
    brewhouse.decide("H1", "on_hold", hours=1, reason="smells of cheese")
    brewhouse.decide("H2", "rejected", hours=1, reason="mould")
    return Laboratory(brewhouse)


@pytest.fixture
def quality(client: Client, lab: Laboratory) -> Client:
    client.force_login(lab.house.people["quality"])
    return client


def text_of(answer: Any) -> str:
    return " ".join(re.sub("<[^>]+>", " ", answer.content.decode()).split()).replace("\xa0", " ")


def ticked(lab: Laboratory, *lots: str, decision: str = "released", reason: str = "tasted", **more: str) -> Any:
    values = [f"{lab.house.lot(code).pk}:{lab.house.lot(code).disposition}" for code in lots]
    return {"request_id": str(uuid.uuid4()), "lots": values, "decision": decision, "reason": reason, **more}


def dispositions(lab: Laboratory, *lots: str) -> list[str]:
    return [lab.house.lot(code).disposition for code in lots]


def test_what_waits_is_shown_with_its_reason_and_what_is_released_is_not(quality, lab):
    lab.ask_for_malt()
    lab.enter("M2", number="A-7", values={**GOOD, "moisture": "5.2"})
    text = text_of(quality.get("/quality/"))
    for words in (
        "Came in: waits for a certificate.",
        "Certificate A-7: Moisture 5.2 % is not at most 5 %.",
        "smells of cheese",
        "mould",
        "Send it back to Larkham Hop Yard",
    ):
        assert words in text
    assert "P1" not in text


def test_the_list_is_narrowed_by_disposition_and_material(quality):
    text = text_of(quality.get("/quality/?disposition=on_hold"))
    assert ("H1" in text, "M1" in text) == (True, False)
    text = text_of(quality.get("/quality/?material=CASCADE"))
    assert ("H2" in text, "H1" in text) == (True, False)


def test_what_has_gone_waits_no_longer(quality, lab):
    lab.house.destroy("H2", "STORE", "20 kg", hours=2)
    assert "H2" not in text_of(quality.get("/quality/"))


@pytest.mark.parametrize("decision", ["released", "on_hold", "rejected"])
def test_all_that_is_ticked_is_decided_on_once(quality, lab, decision):
    form = ticked(lab, "M1", "M2", "H1", decision=decision)
    first, again = quality.post("/quality/", form), quality.post("/quality/", form)
    assert (first.status_code, again.status_code) == (303, 303)
    assert dispositions(lab, "M1", "M2", "H1") == [decision] * 3
    assert Decision.objects.filter(reason="tasted").count() == 3
    assert f"Now {decision.replace('_', ' ')}: M1, M2, H1." in text_of(quality.get("/quality/"))


def test_a_narrowed_list_stays_narrowed_after_a_decision(quality, lab):
    answer = quality.post("/quality/?disposition=quarantined", ticked(lab, "M1"))
    assert answer["Location"] == "/quality/?disposition=quarantined"


def test_what_was_decided_meanwhile_is_told_in_its_row_and_the_ticks_stay(quality, lab):
    form = ticked(lab, "M1", "M2")
    lab.house.decide("M2", "rejected", hours=2, reason="weevils")
    answer = quality.post("/quality/", form)
    assert answer.status_code == 400
    text = text_of(answer)
    assert "Lot M2 was quarantined when you looked and is rejected now." in text
    assert "Nothing was decided: see what stands in the rows of the lots." in text
    assert dispositions(lab, "M1", "M2") == ["quarantined", "rejected"]
    assert re.search(rf'value="{lab.house.lot("M1").pk}:quarantined"\s+checked', answer.content.decode())


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"lots": []}, "Tick the lots to decide on."),
        ({"lots": ["x:y", "1"]}, "Look at the page again."),
        ({"lots": ["999999:quarantined"]}, "Look at the page again."),
        ({"reason": " "}, "This field is required."),
        ({"decision": ""}, "This field is required."),
        ({"decision": "quarantined"}, "Select a valid choice."),
    ],
)
def test_what_is_missing_is_told_and_nothing_is_decided(quality, lab, change, words):
    answer = quality.post("/quality/", ticked(lab, "M1") | change)
    assert answer.status_code == 400
    assert words in text_of(answer)
    assert dispositions(lab, "M1") == ["quarantined"]


def test_a_clerk_looks_and_does_not_decide(client, lab):
    client.force_login(lab.house.people["receiving"])
    page = client.get("/quality/")
    assert "Decide on what is ticked" not in page.content.decode()
    assert client.post("/quality/", ticked(lab, "M1")).status_code == 403
    assert dispositions(lab, "M1") == ["quarantined"]


def test_a_rejected_lot_is_sent_back_from_its_page(quality, lab):
    lot = lab.house.lot("H2")
    page = quality.get(f"/quality/lots/{lot.pk}/return/")
    assert 'value="20 kg"' in page.content.decode()
    form = {"request_id": str(uuid.uuid4()), "location": "STORE", "quantity": "20 kg", "reason": "mould"}
    answer = quality.post(f"/quality/lots/{lot.pk}/return/", form)
    assert (answer.status_code, answer["Location"]) == (303, f"/lots/{lot.pk}/")
    assert lab.house.held("H2", "sent_back") == micro("20 kg")
    assert Event.objects.filter(kind="send_back").count() == 1
    assert quality.post(f"/quality/lots/{lot.pk}/return/", form).status_code == 303
    assert Event.objects.filter(kind="send_back").count() == 1


def test_what_is_not_rejected_is_not_sent_back(quality, lab):
    form = {"request_id": str(uuid.uuid4()), "location": "STORE", "quantity": "1", "reason": "mould"}
    answer = quality.post(f"/quality/lots/{lab.house.lot('H1').pk}/return/", form)
    assert answer.status_code == 400
    assert "Lot H1 is on hold; only what is rejected goes back to its supplier." in text_of(answer)
    answer = quality.post(f"/quality/lots/{lab.house.lot('H2').pk}/return/", form | {"quantity": "a lot"})
    assert "is not a quantity" in text_of(answer)
    assert quality.get("/quality/lots/999999/return/").status_code == 404


def test_the_desk_asks_as_often_for_many_lots_as_for_few(quality, lab, django_assert_num_queries):
    for more in range(2):
        for number in range(5 * more):
            lab.house.deliver("MUNICH", f"MORE{number}", "5 kg", note=f"m{number}")
        with django_assert_num_queries(WHO + 6):
            quality.get("/quality/")
