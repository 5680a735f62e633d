"""The pages of recalls: opened from a lot, worked on with one form a step, closed, and kept as a list of drills."""

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from brewery.kernel.clock import brewery_zone
from tests.brewhouse import Brewhouse
from tests.signing import signed_in
from traceability.models import Recall, RecallTask


def send(client: Client, address: str, **said: Any) -> Any:
    return client.post(address, {**said, "request_id": str(uuid.uuid4())})


@pytest.mark.usefixtures("whole_chain")
def test_a_recall_is_opened_from_a_lot_with_three_inputs_and_worked_on_to_its_end(brewhouse: Brewhouse):
    client = signed_in(brewhouse, "quality")
    lot = client.get(f"/lots/{brewhouse.lot('M1').pk}/").content.decode()
    assert "/recalls/new/?lots=M1" in lot
    follow = ["ingredient", "culture", "carryover"]
    opened = send(client, "/recalls/new/", lots="M1", hazard="glass", kind="mock", follow=follow)
    page = opened["Location"]
    text = client.get(page).content.decode()
    for words in (
        "no legal notice",
        "Nobody at The Heron Inn was reached.",
        "100.000 %",
        "KEG1",
        "4 h: ",
        "common-cause/?lots=M1",
    ):
        assert words in text
    assert send(client, f"{page}end/").status_code == 400
    assert send(client, f"{page}class/", value="II", reason="splinters").status_code == 303
    assert send(client, f"{page}note/", text="rang the press").status_code == 303
    keg = brewhouse.lot("KEG1").pk
    call = {"customer": "INN", "is_reached": "yes", "spoke_with": "the landlord"}
    said = {f"holds_{keg}": "2", f"gone_{keg}": "1"}
    assert send(client, f"{page}check/?customer=INN", **call, **said).status_code == 303
    for task in RecallTask.objects.all():
        assert send(client, f"/recalls/tasks/{task.pk}/done/").status_code == 303
    assert "Nothing: it can be closed." in client.get(page).content.decode()
    assert send(client, f"{page}end/").status_code == 303
    assert Recall.objects.get().closing.open_points == []
    drills = client.get("/recalls/").content.decode()
    assert "100.000 %" in drills
    assert "after 0 h 00 min" in drills


@pytest.mark.usefixtures("whole_chain")
def test_a_call_with_no_name_or_with_odd_figures_is_told_beside_its_field(brewhouse: Brewhouse):
    client = signed_in(brewhouse, "quality")
    page = send(client, "/recalls/new/", lots="M1", hazard="glass", kind="mock", follow=["ingredient"])["Location"]
    keg = brewhouse.lot("KEG1").pk
    call = {"customer": "INN", "is_reached": "yes", "spoke_with": "", f"holds_{keg}": "many"}
    answer = send(client, f"{page}check/?customer=INN", **call)
    assert (answer.status_code, "many" in answer.content.decode()) == (400, True)
    call[f"holds_{keg}"] = "3"
    assert "Say who was spoken to." in send(client, f"{page}check/?customer=INN", **call).content.decode()


@pytest.mark.usefixtures("whole_chain")
def test_the_report_is_had_from_the_page_as_pdf_and_as_tables(brewhouse: Brewhouse):
    client = signed_in(brewhouse, "quality")
    page = send(client, "/recalls/new/", lots="M1", hazard="glass", kind="mock", follow=["ingredient"])["Location"]
    text = client.get(page).content.decode()
    for ending, starts in (("pdf", b"%PDF-"), ("xlsx", b"PK"), ("zip", b"PK")):
        assert f'href="{page}report.{ending}"' in text
        answer = client.get(f"{page}report.{ending}")
        assert (answer.status_code, answer.content[: len(starts)]) == (200, starts)
        assert answer["X-Content-Type-Options"] == "nosniff"
    assert client.get("/recalls/77/report.pdf").status_code == 404


@pytest.mark.usefixtures("whole_chain")
def test_a_recall_may_be_narrowed_to_what_was_made_in_a_time(brewhouse: Brewhouse):
    client = signed_in(brewhouse, "quality")
    said = {"lots": "M1", "hazard": "glass", "kind": "mock", "follow": ["ingredient"]}
    keg = brewhouse.lot("KEG1").made_at
    backwards = {"made_from": "2026-03-02T10:00", "made_until": "2026-03-01T10:00"}
    refused = send(client, "/recalls/new/", **said, **backwards)
    assert "Give a time after the first." in refused.content.decode()
    opened = send(
        client,
        "/recalls/new/",
        **said,
        made_until=(keg - timedelta(minutes=1)).astimezone(brewery_zone()).strftime("%Y-%m-%dT%H:%M"),
    )
    text = client.get(opened["Location"]).content.decode()
    assert "Of what was made" in text
    assert "KEG1" not in text
