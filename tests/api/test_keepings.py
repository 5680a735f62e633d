"""How long things keep, over the API."""

from datetime import date

import pytest

from inventory.services.keepings import work_off
from tests.api.client import Api
from tests.brewhouse import START, Brewhouse
from tests.inventory.laboratory import Laboratory
from tests.inventory.test_hop_alpha import expected, keep_at
from tests.standing import built_once


@built_once
def hops(brewhouse: Brewhouse) -> Brewhouse:
    keep_at("STORE", 20)
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    Laboratory(brewhouse).enter("H1", values={"alpha": "4"}, number="A-7", issued_on=START.date())
    work_off()
    return brewhouse


def test_the_moment_is_told_with_what_lies_there(api: Api, hops: Brewhouse):
    (row,) = api.get("keepings/", "auditor", lot="H1").json()["results"]
    assert (row["limit"], row["location"], row["is_known"]) == ("alpha", "STORE", True)
    assert row["held"] == {"quantity": "20", "unit": "kg"}
    assert row["crosses_at"].startswith("2026-04-30T23:37:47")
    assert api.get("keepings/", "auditor", crosses_before="2026-03-03T00:00:00Z").json()["results"] == []


def test_the_alpha_acids_of_a_day_are_those_of_the_model(api: Api, hops: Brewhouse):
    (part,) = api.get("lot-alphas/", "auditor", lot="H1", on=date(2026, 4, 30).isoformat()).json()
    # Noon in Berlin is 10:00 UTC in summer: 59 days and two hours after it came.
    assert float(part["alpha_pct"]) == pytest.approx(expected((59 + 2 / 24, 20)), abs=5e-5)
    assert part["is_modelled"]
    assert part["rate_source"].startswith("published of Saaz")
