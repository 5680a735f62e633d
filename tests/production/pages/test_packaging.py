"""The filling hall's pages: a run is started, drawn for, filled, undone and finished."""

from typing import Any

import pytest
from django.test import Client

from brewery.production.models import PackagingRun, RunFinish
from brewery.production.queries.packaging_figures import figures_of_run
from tests.brewhouse import Brewhouse, micro, rid
from tests.signing import signed_in

WHEN = "2026-03-08T18:00"


@pytest.fixture
def house(brewhouse: Brewhouse) -> Brewhouse:
    """1000 L of beer T1 lie in FV1, and 25 crowns of K1 in packaging run R1."""
    brewhouse.stock_up()
    brewhouse.ferment()
    brewhouse.draw(brewhouse.start_run("R1", hours=100), ("K1", "STORE", "25 each"), hours=100)
    return brewhouse


@pytest.fixture
def filler(house: Brewhouse) -> Client:
    return signed_in(house)


def send(client: Client, piece: str, **fields: Any) -> Any:
    return client.post(f"/packaging/runs/R1/{piece}/", {"request_id": rid(), "happened_at": WHEN, **fields})


def fill(client: Client, house: Brewhouse, **fields: Any) -> Any:
    asked = {"material": house.material("KEG50").pk, "count": "10", "location": "COLD", "packaged_code": "KEG1"}
    return send(client, "fills", **{**asked, "tank_1": house.place("FV1").pk, **fields})


def test_a_run_is_started_under_the_proposed_code(house: Brewhouse, filler: Client):
    code = filler.get("/packaging/runs/new/").context["form"]["code"].value()
    asked = {"request_id": rid(), "code": code, "beer": PackagingRun.objects.get().beer_id}
    assert filler.post("/packaging/runs/new/", asked)["Location"] == f"/packaging/runs/{code}/"
    assert code == "R2"


def test_a_fill_leaves_what_is_still_to_come_and_is_undone(house: Brewhouse, filler: Client):
    assert fill(filler, house, still_to_come="15").status_code == 303
    assert house.held("K1", "R1") == micro("15 each")
    assert "KEG1" in filler.get("/packaging/runs/R1/").content.decode()
    assert send(filler, "undos", reason="Miscounted").status_code == 303
    assert house.held("K1", "R1") == micro("25 each")


def test_a_finished_run_gives_back_and_loses_for_a_reason(house: Brewhouse, filler: Client):
    fill(filler, house, still_to_come="15")
    back = {f"back-{house.lot('K1').pk}": "10", "location": "STORE"}
    assert send(filler, "end", **back).status_code == 400
    assert send(filler, "end", **back, loss_reason="Bent").status_code == 303
    assert house.held("K1", "R1") == 0
    assert "finished" in filler.get("/packaging/").content.decode()


def test_a_run_that_is_finished_twice_by_one_form_is_finished_once(house: Brewhouse, filler: Client):
    fill(filler, house, still_to_come="15")
    form = filler.get("/packaging/runs/R1/").context["finish_form"]
    asked = {f"back-{house.lot('K1').pk}": form[f"back-{house.lot('K1').pk}"].value(), "location": "STORE"}
    same = rid()
    for _ in range(2):
        answer = filler.post("/packaging/runs/R1/end/", {"request_id": same, "happened_at": WHEN, **asked})
        assert answer.status_code == 303
    assert (house.held("K1", "R1"), RunFinish.objects.count()) == (0, 1)


def test_a_refused_fill_comes_back_with_what_is_wrong(house: Brewhouse, filler: Client):
    answer = fill(filler, house, count="21")
    assert answer.status_code == 400
    assert answer.context["refused"]["form"].errors
    assert not figures_of_run(PackagingRun.objects.get()).fills
