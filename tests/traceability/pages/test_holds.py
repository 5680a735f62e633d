"""The pages of holds: what one reaches is shown first, it is placed with a reason, and released lot by lot."""

import uuid

import pytest

from tests.brewhouse import Brewhouse
from tests.signing import signed_in
from tests.traceability.test_holds import hold
from traceability.models import Hold


@pytest.mark.usefixtures("whole_chain")
def test_a_hold_is_shown_before_it_is_placed_and_placed_with_one_reason(brewhouse: Brewhouse):
    client = signed_in(brewhouse, "quality")
    lot = client.get(f"/lots/{brewhouse.lot('M1').pk}/").content.decode()
    assert "/holds/new/?lots=M1" in lot
    text = client.get("/holds/new/?lots=M1").content.decode()
    assert "The Heron Inn" in text
    assert "KEG1" in text
    assert text.count("checked") == 3
    assert "errorlist" not in text
    sent = {"lots": "M1", "follow": ["ingredient"], "request_id": str(uuid.uuid4())}
    refused = client.post("/holds/new/", sent)
    assert (refused.status_code, "KEG1" in refused.content.decode()) == (400, True)
    placed = client.post("/holds/new/", {**sent, "reason": "glass"})
    assert placed["Location"] == f"/holds/{Hold.objects.get().pk}/"
    assert "KEG1" in client.get(placed["Location"]).content.decode()


@pytest.mark.usefixtures("whole_chain")
def test_lots_are_released_by_ticking_them(brewhouse: Brewhouse):
    made = hold(brewhouse, "M1")
    client = signed_in(brewhouse, "quality")
    sent = {"lots": [brewhouse.lot("KEG1").pk], "reason": "not in it", "request_id": str(uuid.uuid4())}
    assert client.post(f"/holds/{made.pk}/", {**sent, "everything": "on"}).status_code == 400
    assert client.post(f"/holds/{made.pk}/", sent).status_code == 303
    assert brewhouse.lot("KEG1").disposition == "released"
    assert (
        client.post(
            f"/holds/{made.pk}/", {"everything": "on", "reason": "found nothing", "request_id": str(uuid.uuid4())}
        ).status_code
        == 303
    )
    assert "The hold is over" in client.get(f"/holds/{made.pk}/").content.decode()
