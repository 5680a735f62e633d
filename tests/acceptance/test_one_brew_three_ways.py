"""A brew drawn on the page, through the API and by file leaves the same ledger and the same trace."""

import csv
from pathlib import Path

from django.test import Client

from brewery.production.services.records.loading import load_folder
from inventory.models import Balance, Event, Posting
from inventory.queries.audits import run_audits
from tests.api.chain import line
from tests.api.client import Api
from tests.brewhouse import Brewhouse, at, micro, rid
from tests.standing import built_once
from traceability.queries.graph import Direction
from traceability.queries.mass_balance import mass_balance
from traceability.queries.trace import trace

DRAWN = (("M1", "SILO1", "180.25", "kg"), ("M2", "STORE", "20", "kg"), ("H1", "STORE", "1.5", "kg"))
HOURS, ON_THE_WALL = 3, "2026-03-02 12:00"
"""The same moment: three hours after 8:00 in UTC, and what the brewery's clock in Berlin shows."""


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """Three brews are under way, and malt and hops for all of them are here."""
    brewhouse.deliver("PILS", "M1", "900 kg", "SILO1")
    brewhouse.deliver("PILS", "M2", "90 kg", note="2")
    brewhouse.deliver("SAAZ", "H1", "9 kg", supplier="HOPYARD")
    for code in ("PAGE", "API", "FILE"):
        brewhouse.start_brew(code, hours=2)
    return brewhouse


def draw_on_the_page(house: Brewhouse) -> None:
    client = Client()
    client.force_login(house.people["brewing"], "django.contrib.auth.backends.ModelBackend")
    for lot, place, quantity, unit in DRAWN:
        asked = {"lot": lot, "location": place, "quantity": f"{quantity} {unit}", "request_id": rid()}
        typed = {**asked, "happened_at": ON_THE_WALL.replace(" ", "T")}
        assert client.post("/brewing/brews/PAGE/draws/", typed).status_code == 303


def draw_through_the_api(house: Brewhouse) -> None:
    for lot, place, quantity, unit in DRAWN:
        body = {"happened_at": at(HOURS).isoformat(), "into": "API", "lines": [line(lot, place, quantity, unit)]}
        assert Api(house).post("draws/", body, "brewing").status_code == 201


def draw_by_file(folder: Path) -> None:
    with (folder / "draws.csv").open("w", newline="") as file:
        rows = csv.writer(file)
        rows.writerow(
            ("record", "happened_at", "recorded_by", "into", "lot", "location", "quantity", "unit", "override_reason")
        )
        for number, (lot, place, quantity, unit) in enumerate(DRAWN, 1):
            rows.writerow((f"DR-{number}", ON_THE_WALL, "brewing", "FILE", lot, place, quantity, unit, ""))
    load_folder(folder)


def ledger_of(code: str) -> list[tuple[object, ...]]:
    """Return what was posted into the brew, in order, as facts without the brew's own code."""
    rows = Posting.objects.filter(to_location__code=code).order_by("pk")
    return list(
        rows.values_list(
            "event__kind",
            "event__happened_at",
            "event__actor__username",
            "event__reason",
            "event__override_reason",
            "lot__code",
            "from_location__code",
            "quantity_micro",
        )
    )


def test_a_brew_is_the_same_whichever_way_it_was_drawn(house: Brewhouse, tmp_path: Path):
    draw_on_the_page(house)
    draw_through_the_api(house)
    draw_by_file(tmp_path)
    on_the_page, through_the_api, by_file = (ledger_of(code) for code in ("PAGE", "API", "FILE"))
    assert len(on_the_page) == len(DRAWN)
    assert on_the_page == through_the_api == by_file
    held = {
        code: dict(Balance.objects.held().filter(location__code=code).values_list("lot__code", "quantity_micro"))
        for code in ("PAGE", "API", "FILE")
    }
    assert (
        held["PAGE"]
        == held["API"]
        == held["FILE"]
        == {lot: micro(f"{quantity} {unit}") for lot, _, quantity, unit in DRAWN}
    )
    for number, (code, vessel) in enumerate((("PAGE", "FV1"), ("API", "FV2"), ("FILE", "BT1")), 1):
        house.knock_out(house.brew(code), f"W{number}", {vessel: "1000 L"}, loss="30 L", hours=10)
    traces = [trace(house.lot(f"W{number}"), Direction.BACK) for number in (1, 2, 3)]
    lots = {house.lot(code).pk: code for code in ("M1", "M2", "H1")}
    first, second, third = ({lots[key]: one.amounts[key] for key in one.reached} for one in traces)
    assert first == second == third == {lot: float(micro(f"{q} {unit}")) for lot, _, q, unit in DRAWN}
    assert all(mass_balance(house.lot(code)).closes for code in lots.values())
    assert [finding for _, findings in run_audits() for finding in findings] == []
    assert Event.objects.filter(kind=Event.Kind.DRAW).count() == 3 * len(DRAWN)
