"""Orders of customers through the API: entered, changed by the version seen, picked, shipped, brought back."""

from typing import Any

from tests.api.chain import moment
from tests.api.client import ROOT, Api, problem_of
from tests.brewhouse import rid
from tests.production.dispatching import in_days, kegs
from tests.standing import built_once

R, Q, B = "receiving", "quality", "brewing"


@built_once
def stocked(api: Api) -> Api:
    """Twenty kegs that keep 100 days lie in the cold store."""
    kegs(api.house, "K1", 20, keeps=100)
    return api


def order(api: Api, count: int = 5) -> Any:
    lines = [{"material": "KEG50", "count": count}]
    body = {"number": "O/1", "customer": "INN", "wanted_on": in_days(2).isoformat(), "lines": lines}
    return api.post("customer-orders/", {**body, "customer_reference": "their 7"}, R)


def test_an_order_goes_from_entry_to_a_decision_on_what_came_back(stocked: Api):
    made = order(stocked)
    assert (made.status_code, made["ETag"], made.json()["state"]) == (201, '"1"', "open")
    (proposal,) = stocked.get("customer-orders/O/1/picking/").json()
    assert (proposal["short"], proposal["lines"][0]["lot"], proposal["lines"][0]["count"]) == (0, "K1", 5)
    pick = stocked.post("customer-orders/O/1/picks/", {"lot": "K1", "location": "COLD", "count": 5}, R)
    assert pick.status_code == 201, pick.content
    assert stocked.post(f"picks/{pick.json()['id']}/put-backs/", {}, R).json()["put_back_at"]
    stocked.post("customer-orders/O/1/picks/", {"lot": "K1", "location": "COLD", "count": 4}, R)
    number = stocked.get("delivery-notes/next/").json()["note_number"]
    gone = {"happened_at": moment(30), "note_number": number, "carrier": "Ferry haulage", "seal": "S-1"}
    event = stocked.post("customer-orders/O/1/shipments/", gone, R).json()
    assert (event["kind"], event["reference"]) == ("ship", number)
    told = stocked.get("customer-orders/O/1/").json()
    assert told["lines"] == [{"material": "KEG50", "count": 5, "picked": 0, "shipped": 4, "open": 1}]
    note = stocked.get(f"delivery-notes/{event['id']}/")
    assert (note["Content-Type"], note.content[:5]) == ("application/pdf", b"%PDF-")
    line = {"lot": "K1", "location": "STORE", "quantity": "3", "unit": "each"}
    back = {"happened_at": moment(40), "customer": "INN", "lines": [line], "reason": "too many", "cause": "unsold"}
    assert stocked.post("customer-returns/", back, R).status_code == 201
    (shown,) = stocked.get("returned-goods/").json()["results"]
    assert shown["lines"] == [{"lot": "K1", "location": "STORE", "count": 3, "undecided": 3}]
    way, what = f"returned-goods/{shown['id']}/", {"lot": "K1", "location": "STORE", "count": 1, "reason": "looked at"}
    what["happened_at"] = moment(50)
    assert stocked.post(f"{way}restocks/", {**what, "to_location": "COLD"}, R).status_code == 201
    litres = {"quantity": "30", "unit": "L"}
    gone = stocked.post(f"{way}destructions/", {**what, "beer": litres}, Q).json()
    assert gone["beer"] == {"quantity": "30", "unit": "L"}
    tank = {"vessel": "BT1", "beer": litres, "contents_code": "RW1", "material": "LAGER"}
    assert stocked.post(f"{way}reworks/", {**what, **tank}, B).status_code == 201
    assert stocked.get("returned-goods/").json()["results"][0]["lines"][0]["undecided"] == 0


def note(api: Api, words: str) -> Any:
    headers = {"If-Match": '"1"', "Idempotency-Key": str(rid())}
    client = api.client(R)
    return client.patch(f"{ROOT}customer-orders/O/1/", {"note": words}, format="json", headers=headers)


def test_an_order_is_changed_by_the_version_that_was_seen(stocked: Api):
    order(stocked)
    changed = note(stocked, "ring first")
    assert (changed.status_code, changed["ETag"], changed.json()["note"]) == (200, '"2"', "ring first")
    assert problem_of(note(stocked, "no"), 412)["code"] == "changed_meanwhile"


def test_a_contact_and_a_minimum_life_are_told_by_those_who_keep_customers(stocked: Api):
    contact = {"party": "INN", "name": "Ada Fenn", "phone": "+44 20 7946 0001", "is_reachable_at_night": True}
    first = stocked.post("party-contacts/", contact, Q).json()["id"]
    second = stocked.post("party-contacts/", {**contact, "name": "Ben Moor", "replaces": first}, Q).json()["id"]
    current = stocked.get("party-contacts/", party="INN", is_current="true").json()["results"]
    assert [one["name"] for one in current] == ["Ben Moor"]
    assert stocked.post("party-contact-endings/", {"contact": second, "reason": "left"}, Q).status_code == 201
    assert stocked.post("minimum-lives/", {"customer": "INN", "days": 120}, Q).status_code == 201
    order(stocked)
    refused = stocked.post("customer-orders/O/1/picks/", {"lot": "K1", "location": "COLD", "count": 1}, R)
    assert problem_of(refused, 409)["code"] == "keeps_too_short"
    (proposal,) = stocked.get("customer-orders/O/1/picking/").json()
    assert proposal["left_out"] == [{"lot": "K1", "count": 20, "reason": "it keeps 98 days, and 120 are asked for"}]


def test_orders_are_narrowed_by_customer_state_and_day(stocked: Api):
    order(stocked)
    for query, count in (
        ({"state": "open"}, 1),
        ({"state": "shipped"}, 0),
        ({"customer": "MARKET"}, 0),
        ({"customer": "INN"}, 1),
    ):
        assert len(stocked.get("customer-orders/", **query).json()["results"]) == count
    assert stocked.post("customer-orders/O/1/call-offs/", {"reason": "rain"}, R).json()["state"] == "called_off"
