"""Lists: what they show, what narrows them, a page at a time, in a number of queries that does not grow."""

import json
from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.models import Event
from tests.api.chain import moment
from tests.api.client import Api, fields_of, problem_of
from tests.standing import built_once


@built_once
def full(api: Api) -> Api:
    """The whole chain is on record."""
    api.house.whole_chain()
    return api


def rows(answer: Any) -> list[dict[str, Any]]:
    """Return the records of a page."""
    assert answer.status_code == 200, answer.content
    found: list[dict[str, Any]] = json.loads(answer.content)["results"]
    return found


def codes(answer: Any, name: str = "code") -> list[str]:
    """Return the codes of the records of a page."""
    return [row[name] for row in rows(answer)]


# What one record shows


def test_a_lot_shows_its_facts_where_it_is_and_every_decision(full: Api):
    full.house.decide("KEG1", "on_hold", hours=400, reason="a taste of butter")
    lot = json.loads(full.get("lots/KEG1/").content)
    assert {name: lot[name] for name in ("code", "material", "kind", "disposition", "made", "total", "where")} == {
        "code": "KEG1",
        "material": "KEG50",
        "kind": "packaged",
        "disposition": "on_hold",
        "made": {"quantity": "10", "unit": "each"},
        "total": {"quantity": "10", "unit": "each"},
        "where": [
            {"location": "COLD", "name": "Cold store", "kind": "store", "quantity": "7", "unit": "each"},
            {"location": "customer:INN", "name": "The Heron Inn", "kind": "customer", "quantity": "3", "unit": "each"},
        ],
    }
    assert [(one["before"], one["decision"], one["reason"]) for one in lot["decisions"]] == [
        ("released", "on_hold", "a taste of butter")
    ]


def test_a_raw_lot_shows_its_supplier_and_a_yeast_its_generation(full: Api):
    assert json.loads(full.get("lots/M1/").content)["supplier"] == "MALTINGS"
    assert json.loads(full.get("lots/Y2/").content)["generation"] == 2


def test_an_event_shows_what_moved_what_was_made_and_what_became_part_of_it(full: Api):
    knocked_out = Event.objects.get(kind=Event.Kind.KNOCK_OUT)
    event = json.loads(full.get(f"events/{knocked_out.pk}/").content)
    assert (event["kind"], event["actor"], event["reference"]) == ("knock_out", "brewing", "B1")
    assert event["happened_at"] == "2026-03-02T18:00:00Z"
    assert {"lot": "M1", "from_location": "B1", "to_location": "transformed", "quantity": "200", "unit": "kg"} in event[
        "postings"
    ]
    assert event["made_lots"] == [{"code": "W1", "material": "WORT", "made": {"quantity": "1030", "unit": "L"}}]
    assert {
        "parent": "H1",
        "child": "W1",
        "kind": "ingredient",
        "went_across": {"quantity": "2", "unit": "kg"},
    } in event["links"]


def test_a_reversed_event_and_its_reversal_name_each_other(full: Api):
    event = full.house.move("H2", "STORE", "COLD", "1 kg", hours=400)
    reversal = full.house.reverse(event)
    assert json.loads(full.get(f"events/{event.pk}/").content)["reversed_by"] == reversal.pk
    assert json.loads(full.get(f"events/{reversal.pk}/").content)["reverses"] == event.pk


def test_a_brew_shows_what_it_holds_until_it_is_knocked_out(full: Api):
    brew = full.house.start_brew("B2", hours=400)
    full.house.draw(brew, ("H2", "STORE", "1 kg"), hours=401)
    under_way = json.loads(full.get("brews/B2/").content)
    assert under_way["holds"] == [{"lot": "H2", "material": "CASCADE", "quantity": "1", "unit": "kg"}]
    assert under_way["finished_by"] is None
    done = json.loads(full.get("brews/B1/").content)
    assert done["finished_by"] == Event.objects.get(kind=Event.Kind.KNOCK_OUT).pk
    assert done["holds"] == []


def test_a_code_with_a_slash_has_an_address(api: Api):
    api.house.deliver("PILS", "P/26-1", "10 kg")
    assert json.loads(api.get("lots/P%2F26-1/").content)["code"] == "P/26-1"


def test_a_lot_made_by_mistake_is_in_no_list_and_has_no_address(api: Api):
    api.house.reverse(api.house.deliver("PILS", "M9", "10 kg"))
    assert codes(api.get("lots/")) == []
    problem_of(api.get("lots/M9/"), 404)


# Filters


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ({"material": "SAAZ"}, ["H1"]),
        ({"kind": "hop"}, ["H2", "H1"]),
        ({"disposition": "on_hold"}, ["K1"]),
        ({"supplier": "HOPYARD"}, ["H2", "H1"]),
        ({"code": "H1"}, ["H1"]),
        ({"code_contains": "eg"}, ["KEG1"]),
        ({"location": "BRINK1"}, ["Y2"]),
        ({"location": "customer:INN"}, ["KEG1"]),
        ({"kind": "hop", "code_contains": "2"}, ["H2"]),
        ({"material": "NONE"}, []),
        ({"code_contains": "%"}, []),
    ],
)
def test_lots_are_narrowed(full: Api, query: dict[str, str], expected: list[str]):
    full.house.decide("K1", "on_hold", hours=400)
    assert codes(full.get("lots/", **query)) == expected


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ({"lot": "KEG1"}, [("KEG1", "COLD", "7")]),
        ({"lot": "KEG1", "where": "anywhere"}, [("KEG1", "COLD", "7"), ("KEG1", "customer:INN", "3")]),
        ({"lot": "KEG1", "where": "outside"}, [("KEG1", "customer:INN", "3")]),
        ({"location": "customer:INN"}, [("KEG1", "customer:INN", "3")]),
        ({"location": "FV1"}, [("D1", "FV1", "70")]),
        ({"material": "YEAST"}, [("Y1", "COLD", "40"), ("Y2", "BRINK1", "22")]),
    ],
)
def test_balances_are_narrowed(full: Api, query: dict[str, str], expected: list[tuple[str, str, str]]):
    found = rows(full.get("balances/", **query))
    assert [(row["lot"], row["location"], row["quantity"]) for row in found] == expected


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ({"kind": "ship"}, ["ship"]),
        ({"lot": "KEG1"}, ["take_back", "ship", "package"]),
        ({"location": "BT1"}, ["package", "filter"]),
        ({"happened_from": moment(312), "happened_before": moment(340)}, ["ship", "package"]),
        ({"reference": "R1"}, ["package"]),
    ],
)
def test_events_are_narrowed(full: Api, query: dict[str, str], expected: list[str]):
    assert codes(full.get("events/", **query), "kind") == expected


def test_the_events_of_one_request_are_found_by_its_key(full: Api):
    shipped = Event.objects.get(kind=Event.Kind.SHIP)
    assert codes(full.get("events/", request_id=str(shipped.request_id)), "kind") == ["ship"]


@pytest.mark.parametrize(
    ("address", "query", "expected"),
    [
        ("materials/", {"kind": "hop"}, ["CASCADE", "SAAZ"]),
        ("materials/", {"code_contains": "keg"}, ["KEG50"]),
        ("parties/?role=customer", {}, ["INN", "MARKET"]),
        ("locations/", {"kind": "silo"}, ["SILO1", "SILO2"]),
        ("brews/", {"finished": "true"}, ["B1"]),
        ("brews/", {"finished": "false"}, ["B2"]),
        ("brews/", {"started_from": moment(300)}, ["B2"]),
        ("brews/", {"beer": "LAGER"}, ["B2", "B1"]),
        ("packaging-runs/", {"finished": "true"}, ["R1"]),
    ],
)
def test_registers_and_work_are_narrowed(full: Api, address: str, query: dict[str, str], expected: list[str]):
    full.house.start_brew("B2", hours=400)
    assert codes(full.get(address, **query)) == expected


@pytest.mark.parametrize(
    ("address", "query", "field"),
    [
        ("lots/", {"kind": "spice"}, "kind"),
        ("lots/", {"code": "\x00"}, "code"),
        ("lots/", {"code": "x" * 61}, "code"),
        ("events/", {"happened_from": "2026-03-02T08:00:00"}, "happened_from"),
        ("events/", {"happened_from": "yesterday"}, "happened_from"),
        ("events/", {"happened_from": "2026-02-30T08:00:00Z"}, "happened_from"),
        ("events/", {"happened_before": "0001-01-01T00:00:00+14:00"}, "happened_before"),
        ("events/", {"request_id": "7"}, "request_id"),
        ("balances/", {"where": "elsewhere"}, "where"),
        ("lots/", {"page_size": "0"}, "page_size"),
        ("lots/", {"page_size": "201"}, "page_size"),
        ("lots/", {"page_size": "1e2"}, "page_size"),
        ("lots/", {"page_size": "٣"}, "page_size"),
        ("lots/", {"cursor": "nonsense"}, "cursor"),
        ("lots/", {"cursor": "cD1hYmM="}, "cursor"),  # p=abc, where an id should stand
        ("materials/", {"cursor": "cD0lMDA="}, "cursor"),  # p=%00
        ("materials/", {"limit": "5"}, "limit"),
    ],
)
def test_a_filter_that_cannot_be_is_refused_by_name(api: Api, address: str, query: dict[str, str], field: str):
    assert fields_of(problem_of(api.get(address, **query), 400)) == [field]


# Pages


def all_pages(api: Api, address: str, while_reading: Callable[[], object] = lambda: None) -> list[list[Any]]:
    """Return every page from the first to the last, following the addresses that the answers give."""
    pages, following = [], f"/api/v1/{address}"
    while following:
        page = json.loads(api.client("auditor").get(following).content)
        pages.append(page["results"])
        split = urlsplit(page["next"] or "")
        following = f"{split.path}?{split.query}" if split.path else ""
        while_reading()
    return pages


@pytest.mark.parametrize(
    ("address", "order"), [("materials/", "code"), ("lots/", "made_by"), ("events/", "id"), ("locations/", "code")]
)
def test_pages_hold_every_record_once_and_in_order(full: Api, address: str, order: str):
    whole = rows(full.get(address))
    pages = all_pages(full, f"{address}?page_size=2")
    assert [row for page in pages for row in page] == whole
    assert {len(page) for page in pages[:-1]} == {2}
    values = [row[order] for row in whole]
    assert values == sorted(values, reverse=order != "code")


def test_what_is_recorded_meanwhile_does_not_shift_a_page(full: Api):
    whole = rows(full.get("events/"))
    hours = iter(range(400, 500))

    def record() -> None:
        full.house.count("H2", "STORE", "17 kg", hours=next(hours))

    pages = all_pages(full, "events/?page_size=5", record)
    assert [row for page in pages for row in page] == whole


def test_a_page_leads_back_to_the_one_before(full: Api):
    first = json.loads(full.get("lots/", page_size="3").content)
    second = json.loads(full.client("auditor").get(first["next"]).content)
    assert first["previous"] is None
    assert json.loads(full.client("auditor").get(second["previous"]).content)["results"] == first["results"]


# Queries


@pytest.mark.parametrize(
    ("address", "most"),
    [
        ("materials/", 2),
        ("parties/", 2),
        ("locations/", 3),
        ("lots/", 3),
        ("balances/", 2),
        ("events/", 2),
        ("brews/", 3),
        ("packaging-runs/", 3),
    ],
)
def test_a_list_takes_the_same_few_queries_however_long_it_is(full: Api, address: str, most: int):
    # one for the person's rights, one for the page, one for what lies where
    first = queries_of(full, address)
    full.house.ferment(number=2, vessel="FV2", hours=800)
    for number in (2, 3):
        full.house.deliver("CASCADE", f"X{number}", "5 kg", hours=900, note=f"X{number}")
        full.house.start_run(f"R{number}", hours=400 * number)
    assert queries_of(full, address) == first <= most


@pytest.mark.parametrize(("address", "most"), [("lots/KEG1/", 7), ("brews/B1/", 3), ("materials/PILS/", 2)])
def test_one_record_takes_few_queries(full: Api, address: str, most: int):
    assert queries_of(full, address) <= most


def test_one_event_takes_few_queries(full: Api):
    assert queries_of(full, f"events/{Event.objects.get(kind=Event.Kind.PACKAGE).pk}/") <= 5


def queries_of(api: Api, address: str) -> int:
    """Return how many queries a GET takes."""
    client = api.client("auditor")
    api.house.people["auditor"].__dict__.pop("rights", None)
    with CaptureQueriesContext(
        connection,
    ) as queries:
        assert client.get(f"/api/v1/{address}").status_code == 200
    return len(queries)
