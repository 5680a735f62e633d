"""The pages of retained samples: one is kept, found by place and day, and discarded with what was found."""

from datetime import date
from typing import Any

import pytest
from django.test import Client

from brewery.production.models import RetainedSample
from brewery.production.services.packaging_rules import set_packaging_rule
from inventory.models import Event
from tests.brewhouse import Brewhouse, micro, rid
from tests.inventory.pages.reading import text_of
from tests.signing import signed_in
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """10 kegs of KEG1 lie in the cold store."""
    brewhouse.stock_up()
    brewhouse.ferment()
    run = brewhouse.start_run("R1", hours=100)
    brewhouse.draw(run, ("K1", "STORE", "25 each"), hours=100)
    brewhouse.package(run, "FV1", "KEG1", 10, hours=102)
    return brewhouse


@pytest.fixture
def officer(house: Brewhouse) -> Client:
    return signed_in(house, "quality")


def keep(client: Client, house: Brewhouse, **fields: Any) -> Any:
    given = {"request_id": rid(), "lot": "KEG1", "count": "2", "from_location": "COLD", "shelf": "B2"}
    given |= {"location": house.place("LAB").pk, "keep_until": "2199-01-01"}
    return client.post("/packaging/samples/new/", {**given, **fields})


def discard(client: Client, sample: RetainedSample, **fields: Any) -> Any:
    return client.post(f"/packaging/samples/{sample.pk}/", {"request_id": rid(), **fields})


def test_a_sample_is_kept_and_found_by_its_place(house: Brewhouse, officer: Client):
    assert keep(officer, house).status_code == 303
    assert house.held("KEG1", "LAB") == micro("2 each")
    rows = {place: list(officer.get("/packaging/samples/", {"place": place}).context["rows"]) for place in ("LAB", "X")}
    assert [sample.shelf for sample in rows["LAB"]] == ["B2"]
    assert rows["X"] == []


def test_without_a_day_it_is_kept_until_the_lot_s_own_or_asks_for_one(house: Brewhouse, officer: Client):
    assert list(keep(officer, house, keep_until="").context["form"].errors) == ["keep_until"]
    set_packaging_rule(pattern="Q{number}", life=90, in_force_from=date(2026, 1, 1), **house.by("quality"))
    run = house.start_run("R2", hours=103)
    house.draw(run, ("K1", "STORE", "25 each"), hours=103)
    house.package(run, "FV1", "KEG2", 5, hours=104)
    assert keep(officer, house, lot="KEG2", keep_until="", happened_at="2026-03-08T18:00").status_code == 303
    assert RetainedSample.objects.get().keep_until == house.lot("KEG2").best_before == date(2026, 6, 4)


def test_more_than_is_there_comes_back_with_what_was_typed(house: Brewhouse, officer: Client):
    answer = keep(officer, house, count="11")
    assert (answer.status_code, list(answer.context["form"].errors)) == (400, ["count"])
    assert answer.context["form"]["count"].value() == "11"


def test_a_sample_goes_with_what_was_found_and_only_once(house: Brewhouse, officer: Client):
    keep(officer, house)
    sample = RetainedSample.objects.get()
    assert list(discard(officer, sample).context["form"].errors) == ["reason"]
    assert discard(officer, sample, reason="clear, no haze").status_code == 303
    assert Event.objects.get(kind=Event.Kind.DESTROY).reason == "clear, no haze"
    assert "It is kept no longer." in text_of(officer.get(f"/packaging/samples/{sample.pk}/"))
