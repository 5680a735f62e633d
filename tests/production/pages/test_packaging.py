"""The filling hall's pages: a run is started, drawn for, filled, undone and finished."""

from datetime import date
from typing import Any

import pytest
from django.test import Client

from brewery.production.models import BrewSheet, PackagingRun, RunFinish
from brewery.production.queries.packaging_figures import figures_of_run
from brewery.production.services.packaging_rules import set_packaging_rule
from inventory.models import Material
from inventory.services.specifications import set_specification
from tests.brewhouse import Brewhouse, at, micro, rid
from tests.production.brewday import sheet_of
from tests.signing import signed_in
from tests.standing import built_once

WHEN = "2026-03-08T18:00"


@built_once
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


def test_only_formats_of_the_run_s_beer_are_offered_until_all_are_asked_for(house: Brewhouse, filler: Client):
    Material.objects.create(
        code="STOUT30", name="Quillmere Stout, 30 L keg", kind="packaged", base_unit="each", contents_micro=30_000_000
    )
    offered = [one.material.code for _, one in form_of(filler).fields["material"].choices]
    everything = [one.material.code for _, one in form_of(filler, "?formats=all").fields["material"].choices]
    assert (offered, everything) == (["BOTTLE500", "KEG50"], ["BOTTLE500", "KEG50", "STOUT30"])


def test_formats_of_the_sheet_come_first_and_earlier_fills_after_them(house: Brewhouse, filler: Client):
    fill(filler, house, still_to_come="15")
    sheet = sheet_of(house, BrewSheet.State.DRAFT)
    sheet.formats.add(house.material("BOTTLE500"))
    BrewSheet.objects.filter(pk=sheet.pk).update(state=BrewSheet.State.IN_USE, put_in_use_at=at(0))
    offered = [one.material.code for _, one in form_of(filler).fields["material"].choices]
    assert offered == ["BOTTLE500", "KEG50"]


def test_each_format_shows_its_next_code_its_day_and_how_many_the_tank_would_fill(house: Brewhouse, filler: Client):
    set_packaging_rule(
        pattern="Q{number3}", life=90, in_force_from=date(2026, 1, 1), has_l_prefix=True, **house.by("quality")
    )
    (keg,) = (one for _, one in form_of(filler).fields["material"].choices if one.material.code == "KEG50")
    assert (keg.code, keg.best_before is not None, keg.expected) == ("LQ001", True, 20)


def test_the_tank_with_the_run_s_beer_and_the_last_format_and_store_are_proposed(house: Brewhouse, filler: Client):
    assert form_of(filler)["tank_1"].value() == house.place("FV1").pk
    fill(filler, house, still_to_come="15")
    form = form_of(filler)
    assert (form["material"].value(), form["location"].value()) == (house.material("KEG50").pk, "COLD")


def test_a_refused_fill_keeps_what_was_typed_and_stands_alone(house: Brewhouse, filler: Client):
    tank = {"start_1": "1020", "end_1": "10"}
    answer = fill(filler, house, count="20", **tank)
    form = answer.context["refused"]["form"]
    assert list(form.errors) == ["gauge_reason"]
    assert (form["count"].value(), form["start_1"].value(), answer.context["fill_form"]) == ("20", "1020", None)
    assert fill(filler, house, count="20", **tank, gauge_reason="read twice").status_code == 303


def test_the_page_names_the_results_that_a_filled_lot_still_lacks(house: Brewhouse, filler: Client):
    set_specification(
        material=house.material("KEG50"), property="taste", in_force_from=date(2026, 1, 1), **house.by("quality")
    )
    fill(filler, house)
    assert "Taste panel is not stated" in filler.get("/packaging/runs/R1/").content.decode()


def form_of(client: Client, query: str = "") -> Any:
    return client.get(f"/packaging/runs/R1/{query}").context["fill_form"]


def test_every_form_of_the_page_can_be_sent_without_a_script(house: Brewhouse, filler: Client):
    fill(filler, house, still_to_come="15")
    page = filler.get("/packaging/runs/R1/").content.decode()
    assert page.count('method="post"') == page.count("csrfmiddlewaretoken") > 5
