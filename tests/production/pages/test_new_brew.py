"""The page that starts a brew which nobody planned: by a sheet or by none."""

from typing import Any

from django.test import Client

from brewery.kernel.clock import brewery_day
from brewery.production.models import Brew
from brewery.production.services.plans import plan_brew
from tests.brewhouse import Brewhouse, micro, rid
from tests.production.brewday import sheet_of
from tests.signing import signed_in

PAGE = "/brewing/brews/new/"


def start(client: Client, **fields: Any) -> Any:
    return client.post(PAGE, {"request_id": rid(), "code": "B7", **fields})


def proposed(client: Client) -> str:
    code: str = client.get(PAGE).context["form"]["code"].value()
    return code


def test_a_brew_by_a_sheet_is_of_its_beer_and_for_its_length(brewhouse: Brewhouse):
    sheet = sheet_of(brewhouse)
    assert start(signed_in(brewhouse), sheet=sheet.pk).url == "/brewing/brews/B7/"
    brew = Brew.objects.get()
    assert (brew.beer.code, brew.sheet, brew.cold_wort_micro) == ("LAGER", sheet, micro("1000 L"))


def test_another_length_is_taken_as_it_is_typed(brewhouse: Brewhouse):
    start(signed_in(brewhouse), sheet=sheet_of(brewhouse).pk, cold_wort="12 hL")
    assert Brew.objects.get().cold_wort_micro == micro("1200 L")


def test_a_brew_by_no_sheet_has_a_beer_and_no_length(brewhouse: Brewhouse):
    client, beer = signed_in(brewhouse), brewhouse.material("LAGER").pk
    refused = start(client, beer=beer, cold_wort="900")
    assert "Say by which sheet it is brewed." in str(refused.context["form"].errors["cold_wort"])
    assert start(client, beer=beer).status_code == 303
    assert Brew.objects.get().sheet is None


def test_a_brew_of_nothing_is_refused(brewhouse: Brewhouse):
    assert "which beer" in str(start(signed_in(brewhouse)).context["form"].errors["beer"])


def test_a_brew_that_is_sent_twice_is_started_once(brewhouse: Brewhouse):
    client, request = signed_in(brewhouse), rid()
    for _ in range(2):
        assert start(client, beer=brewhouse.material("LAGER").pk, request_id=request).status_code == 303
    assert Brew.objects.count() == 1


def test_a_code_in_use_is_refused_beside_it(brewhouse: Brewhouse):
    brewhouse.start_brew("B7", hours=1)
    assert start(signed_in(brewhouse), beer=brewhouse.material("LAGER").pk).context["form"].errors["code"]


def test_the_next_code_counts_on_past_codes_in_use_and_planned(brewhouse: Brewhouse):
    client = signed_in(brewhouse)
    assert proposed(client) == "B-001"
    brewhouse.start_brew("2026/09", hours=1)
    assert proposed(client) == "2026/10"
    plan_brew(code="2026/10", sheet=sheet_of(brewhouse), brew_on=brewery_day(), **brewhouse.by("brewing"))
    assert proposed(client) == "2026/11"
    brewhouse.start_brew("FIRST", hours=2)
    assert proposed(client) == "FIRST1"


def test_who_may_not_brew_is_offered_nothing(brewhouse: Brewhouse):
    auditor = signed_in(brewhouse, "auditor")
    assert auditor.get(PAGE).status_code == 403
    assert PAGE not in auditor.get("/brewing/brews/").content.decode()
    assert PAGE in signed_in(brewhouse).get("/brewing/brews/").content.decode()
