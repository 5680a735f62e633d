"""What planned brews had best take of the stock, and keeping it for them, all or nothing."""

import re
from datetime import timedelta

import pytest
from django.test import Client

from brewery.kernel.clock import brewery_day, now
from brewery.production.queries.using_up import MaterialPlan, UsingUp, using_up
from brewery.production.services.using_up import ProposalChanged, reserve_as_proposed
from inventory.models import Location, Reservation
from inventory.services.refusals import NothingToDo
from inventory.services.reservations import reserve
from tests.api.client import Api
from tests.brewhouse import Brewhouse, micro, rid
from tests.inventory.laboratory import Laboratory
from tests.production.brewday import sheet_of
from tests.production.test_plans import in_days, kept, plan
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """100 g alpha a brew, of two lots of Saaz of 4 % that came today: H1 lies cold and expires first, H2 lies warm."""
    Location.objects.filter(code="STORE").update(nominal_milli_c=25_000)
    Location.objects.filter(code="COLD").update(nominal_milli_c=-2_000)
    hours = (now() - timedelta(hours=2) - now().replace(year=2026, month=3, day=2, hour=8)).total_seconds() / 3600
    for code, place, days in (("H1", "COLD", 300), ("H2", "STORE", 400)):
        brewhouse.deliver(
            "SAAZ", code, "20 kg", place, supplier="HOPYARD", note=code, hours=hours, best_before=in_days(days)
        )
        Laboratory(brewhouse).enter(code, values={"alpha": "4"}, number=f"A-{code}", issued_on=brewery_day())
    brewhouse.deliver("PILS", "M1", "250 kg", best_before=in_days(365))
    brewhouse.deliver("PILS", "M2", "250 kg", best_before=in_days(30), note="2")
    sheet_of(brewhouse)
    return brewhouse


def of(found: UsingUp, material: str) -> MaterialPlan:
    return next(one for one in found.materials if one.material.code == material)


def lots(told: MaterialPlan) -> list[tuple[str, str]]:
    return [(one.plan.code, one.lot.code) for one in told.best]


def test_the_lot_that_would_lose_most_goes_first_and_what_that_saves_is_told(house: Brewhouse):
    plan(house)
    hops = of(using_up(60), "SAAZ")
    assert lots(hops) == [("P1", "H2")]
    assert [one.lot.code for one in hops.plain] == ["H1"]
    assert hops.saved_kg > 0.01
    (taking,) = hops.best
    assert taking.alpha_pct
    assert taking.weight_micro == pytest.approx(micro("100 g") / taking.alpha_pct * 100, abs=1_000)
    assert using_up(60).saved_alpha_kg == pytest.approx(hops.saved_kg)


def test_malt_that_would_pass_its_date_goes_first(house: Brewhouse):
    plan(house)
    assert lots(of(using_up(60), "PILS")) == [("P1", "M2")]


def test_a_lot_past_its_date_on_the_day_of_the_brew_is_not_taken(house: Brewhouse):
    plan(house, days=40)
    assert lots(of(using_up(60), "PILS")) == [("P1", "M1")]


def test_what_is_missing_is_named_by_plan(house: Brewhouse):
    for number in range(3):
        plan(house, f"P{number}")
    malt = of(using_up(60), "PILS")
    assert sum(malt.short.values()) == pytest.approx(micro("100 kg"), abs=100_000)


def test_plans_beyond_the_days_asked_for_are_left_out(house: Brewhouse):
    plan(house, days=50)
    assert using_up(20).materials == ()


def test_it_is_kept_as_it_was_proposed_once(house: Brewhouse):
    plan(house)
    found, request = using_up(60), rid()
    for _ in range(2):
        reserve_as_proposed(
            days=60, whole=False, digest=found.digest, actor=house.people["brewing"], request_id=request
        )
    assert kept("P1") == {one.lot.code: one.out_micro for one in found.takings}
    assert using_up(60).takings == []
    with pytest.raises(NothingToDo):
        reserve_as_proposed(days=60, whole=False, digest=using_up(60).digest, **house.by("brewing"))


def test_what_was_kept_for_a_plan_by_hand_counts_for_it(house: Brewhouse):
    plan(house)
    reserve(lot=house.lot("M1"), quantity_micro=micro("150 kg"), purpose="P1", until=in_days(7), **house.by("brewing"))
    (taking,) = of(using_up(60), "PILS").best
    assert (taking.lot.code, taking.weight_micro) == ("M2", micro("50 kg"))


def test_what_has_changed_since_it_was_seen_is_not_kept(house: Brewhouse):
    plan(house)
    digest = using_up(60).digest
    house.decide("M2", "on_hold", hours=house_hours())
    with pytest.raises(ProposalChanged):
        reserve_as_proposed(days=60, whole=False, digest=digest, **house.by("brewing"))
    assert not Reservation.objects.exists()


def house_hours() -> float:
    """Just now, in hours after the beginning of the tests."""
    start = now().replace(year=2026, month=3, day=2, hour=8)
    return (now() - timedelta(hours=1) - start).total_seconds() / 3600


def test_the_page_shows_both_ways_and_keeps_what_it_shows(client: Client, house: Brewhouse):
    plan(house)
    client.force_login(house.people["brewing"])
    page = client.get("/brewing/using-up/").content.decode()
    assert "Reserve it as proposed" in page
    fields = dict(re.findall(r'name="(request_id|days|whole|digest)"[^>]* value="([^"]*)"', page))
    told = {**fields, "whole": ""}
    assert client.post("/brewing/using-up/", {**told, "digest": "0" * 64}).status_code == 400
    assert client.post("/brewing/using-up/", {**told, "request_id": rid()}).status_code == 303
    assert set(kept("P1")) == {"H2", "M2"}
    client.force_login(house.people["auditor"])
    assert '<form method="post"' not in client.get("/brewing/using-up/").content.decode().partition("<main")[2]


def test_the_api_tells_it_and_keeps_it(house: Brewhouse):
    plan(house)
    api = Api(house)
    told = api.get("using-up/", "auditor", days="60").json()
    hops = next(one for one in told["materials"] if one["material"] == "SAAZ")
    assert [(one["plan"], one["lot"]) for one in hops["best"]] == [("P1", "H2")]
    assert float(told["saved_alpha_kg"]) > 0.01
    body = {"days": 60, "whole": False, "digest": told["digest"]}
    assert api.post("using-up-reservations/", body, "brewing").status_code == 201
    assert api.post("using-up-reservations/", body, "brewing").json()["code"] == "proposal_changed"
