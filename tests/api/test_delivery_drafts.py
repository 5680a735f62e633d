"""Delivery drafts through the API: nothing is changed unseen, repeated requests happen once."""

import uuid
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from inventory.models import Delivery, Event
from inventory.services.orders import OrderedLine, enter_order
from inventory.services.trade_items import add_trade_item
from tests.api.client import ROOT, Api, fields_of, problem_of
from tests.brewhouse import START, micro
from tests.inventory.papers import PDF
from tests.standing import built_once

R = "receiving"
HEAD: dict[str, Any] = {
    "supplier": "HOPYARD",
    "arrived_at": "2026-03-02T09:00:00+01:00",
    "note_number": "LS-1",
    "temperature_c": "4.5",
    "condition": "sound",
}
LINE: dict[str, Any] = {
    "material": "SAAZ",
    "weighed": {"quantity": "5200", "unit": "g"},
    "noted": {"quantity": "5.2", "unit": "kg"},
    "location": "COLD",
    "supplier_lot": "SZ-25",
}
GTIN = "09521234543213"
"""Of GS1's own demonstration prefix 952."""


@built_once
def draft(api: Api) -> dict[str, Any]:
    """A draft without lines."""
    answer: dict[str, Any] = api.post("delivery-drafts/", HEAD, R).json()
    return answer


def send(api: Api, method: str, address: str, body: Any = None, seen: str | int | None = None, **headers: str) -> Any:
    """Send a write under a new key, as of a version where one is given."""
    sent = {"Idempotency-Key": str(uuid.uuid4()), **headers}
    if seen is not None:
        sent["If-Match"] = seen if isinstance(seen, str) else f'"{seen}"'
    call = getattr(api.client(R), method.lower())
    return call(ROOT + address, {} if body is None else body, format="json", headers=sent)


def test_a_draft_is_opened_once_and_shows_its_version(api: Api):
    key = uuid.uuid4()
    first, again = (api.post("delivery-drafts/", HEAD, R, key) for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.json() == again.json()
    assert first["ETag"] == '"1"'
    shown = first.json()
    assert (shown["state"], shown["temperature_c"], shown["line_count"]) == ("draft", "4.5", 0)
    assert shown["arrived_at"] == "2026-03-02T08:00:00Z"
    got = api.get(f"delivery-drafts/{shown['id']}/")
    assert (got.json(), got["ETag"]) == (shown, '"1"')
    assert api.get("delivery-drafts/", state="draft", supplier="HOPYARD").json()["results"] == [shown]
    assert api.get("delivery-drafts/", state="booked").json()["results"] == []


def test_a_change_says_which_version_it_changes(api: Api, draft):
    address = f"delivery-drafts/{draft['id']}/"
    changed = send(api, "PATCH", address, {"carrier": "Ferry Haulage", "temperature_c": None}, 1)
    assert (changed.status_code, changed["ETag"]) == (200, '"2"')
    assert (changed.json()["carrier"], changed.json()["temperature_c"], changed.json()["note_number"]) == (
        "Ferry Haulage",
        None,
        "LS-1",
    )
    missing = problem_of(send(api, "PATCH", address, {"carrier": "x"}), 428)
    assert (missing["code"], fields_of(missing)) == ("version_missing", ["If-Match"])
    stale = problem_of(send(api, "PATCH", address, {"vehicle": "WT-1"}, 1), 412)
    assert stale["code"] == "changed_meanwhile"
    assert "carrier is now “Ferry Haulage”" in stale["detail"]
    assert Delivery.objects.get().version == 2


@pytest.mark.parametrize("seen", ["*", 'W/"1"', "1", '"x"', '"1", "2"', '"0"'])
def test_what_is_no_version_is_refused(api: Api, draft, seen):
    problem = problem_of(send(api, "PATCH", f"delivery-drafts/{draft['id']}/", {"carrier": "x"}, seen), 400)
    assert problem["code"] == "version_invalid"


def test_a_change_that_is_sent_again_is_one_change(api: Api, draft):
    address, key = f"delivery-drafts/{draft['id']}/", str(uuid.uuid4())
    answers = [send(api, "PATCH", address, {"carrier": "x"}, 1, **{"Idempotency-Key": key}) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [200, 200]
    assert Delivery.objects.get().version == 2
    other = send(api, "PATCH", address, {"carrier": "y"}, 1, **{"Idempotency-Key": key})
    assert problem_of(other, 422)["code"] == "request_id_reused"


def test_lines_are_added_listed_changed_and_removed(api: Api, draft):
    lines = f"delivery-drafts/{draft['id']}/lines/"
    added = send(api, "POST", lines, LINE)
    assert (added.status_code, added["ETag"]) == (201, '"2"')
    line = added.json()["line"]
    assert (line["position"], line["lot_code"], line["weighed"]) == (
        1,
        "HO260302-01",
        {"quantity": "5.2", "unit": "kg"},
    )
    assert added.json()["draft"]["line_count"] == 1
    assert api.get(lines).json()["results"] == [line]
    one = f"{lines}{line['id']}/"
    got = api.get(one)
    assert (got.json(), got["ETag"]) == (line, '"2"')
    changed = send(api, "PATCH", one, {"weighed": {"quantity": "5", "unit": "kg"}, "location": None}, 2)
    assert (changed.status_code, changed["ETag"]) == (200, '"3"')
    assert changed.json() == {**line, "weighed": {"quantity": "5", "unit": "kg"}, "location": None}
    problem_of(send(api, "DELETE", one), 428)
    problem_of(send(api, "DELETE", one, seen=2), 412)
    removed = send(api, "DELETE", one, seen=3)
    assert (removed.status_code, removed["ETag"]) == (204, '"4"')
    problem_of(api.get(one), 404)
    assert problem_of(send(api, "PATCH", one, {"crop_year": 2025}, 4), 404)["code"] in ("not_found", "line_gone")


def test_a_line_may_be_added_as_of_a_version(api: Api, draft):
    lines = f"delivery-drafts/{draft['id']}/lines/"
    send(api, "POST", lines, LINE)
    problem_of(send(api, "POST", lines, LINE, 1), 412)
    assert send(api, "POST", lines, LINE, 2).status_code == 201


def test_what_is_wrong_with_a_line_is_told_by_field(api: Api, draft):
    wrong = {**LINE, "material": "NOHOP", "location": "NOWHERE", "crop_year": 1, "flavour": "citrus"}
    lines = f"delivery-drafts/{draft['id']}/lines/"
    assert fields_of(problem_of(send(api, "POST", lines, wrong), 400)) == ["flavour"]
    wrong.pop("flavour")
    problem = problem_of(send(api, "POST", lines, wrong), 400)
    assert fields_of(problem) == ["material", "crop_year", "location"]
    other = problem_of(send(api, "POST", lines, {**LINE, "noted": {"quantity": "5", "unit": "L"}}), 400)
    assert fields_of(other) == ["noted.unit"]


def test_a_line_names_its_order_by_number_and_position(api: Api, draft):
    enter_order(
        number="PO/1",
        supplier=api.house.party("HOPYARD"),
        ordered_on=START.date(),
        lines=[OrderedLine(api.house.material("SAAZ"), micro("20 kg"), START.date())],
        **api.house.by(R),
    )
    lines = f"delivery-drafts/{draft['id']}/lines/"
    line = send(api, "POST", lines, LINE).json()["line"]
    assert line["order_line"] == {"order": "PO/1", "position": 1}
    one = f"{lines}{line['id']}/"
    assert send(api, "PATCH", one, {"order_line": None, "material": "CASCADE"}, 2).json()["order_line"] is None
    assert send(api, "PATCH", one, {"order_line": {"order": "PO/1", "position": 1}}, 3).status_code == 200
    nothing = send(api, "PATCH", one, {"order_line": {"order": "PO/1", "position": 2}}, 4)
    assert fields_of(problem_of(nothing, 400)) == ["order_line.order"]


def test_a_scan_is_a_line_and_a_weight_is_said_of_it(api: Api, draft):
    add_trade_item(gtin=GTIN, material=api.house.material("SAAZ"), **api.house.by("administration"))
    scans = f"delivery-drafts/{draft['id']}/scans/"
    send(api, "POST", scans, {"text": f"]C101{GTIN}310300520010SZ-25"})
    said = send(api, "POST", scans, {"text": "5.1 kg"}).json()
    assert (said["line"]["weighed"], said["line"]["typed"]) == ({"quantity": "5.1", "unit": "kg"}, "5.1 kg")
    refused = problem_of(send(api, "POST", scans, {"text": f"01{GTIN[:-1]}4"}), 400)
    assert (refused["code"], fields_of(refused)) == ("wrong_check_digit", ["text"])


def test_a_booking_tells_all_that_stands_in_the_way_and_then_happens_once(api: Api, draft):
    bookings = f"delivery-drafts/{draft['id']}/bookings/"
    problem_of(send(api, "POST", bookings), 428)
    send(api, "POST", f"delivery-drafts/{draft['id']}/lines/", {**LINE, "location": None})
    refused = problem_of(send(api, "POST", bookings, seen=2), 409)
    assert (refused["code"], fields_of(refused)) == ("not_bookable", ["lines[0].location"])
    line = api.get(f"delivery-drafts/{draft['id']}/lines/").json()["results"][0]
    send(api, "PATCH", f"delivery-drafts/{draft['id']}/lines/{line['id']}/", {"location": "COLD"}, 2)
    key = str(uuid.uuid4())
    booked, again = (send(api, "POST", bookings, seen=3, **{"Idempotency-Key": key}) for _ in range(2))
    assert (booked.status_code, again.status_code) == (201, 201)
    assert booked.json() == again.json()
    assert (booked.json()["state"], booked["ETag"]) == ("booked", '"4"')
    assert Event.objects.filter(kind="receive").count() == 1
    problem = problem_of(send(api, "POST", bookings, seen=4), 409)
    assert problem["code"] == "draft_booked"
    assert api.get("deliveries/", note_number="ls-1").json()["results"] == [booked.json()]
    assert api.get(f"deliveries/{draft['id']}/").json() == booked.json()
    assert api.get(f"delivery-drafts/{draft['id']}/lines/").json()["results"][0]["lot"] == "HO260302-01"


def test_a_draft_is_discarded_and_is_no_delivery(api: Api, draft):
    discarded = send(api, "POST", f"delivery-drafts/{draft['id']}/discards/", seen=1)
    assert discarded.json()["state"] == "discarded"
    problem_of(api.get(f"deliveries/{draft['id']}/"), 404)
    late = send(api, "POST", f"delivery-drafts/{draft['id']}/lines/", LINE)
    assert problem_of(late, 409)["code"] == "draft_discarded"


def test_papers_are_added_once_and_listed(api: Api, draft):
    address = f"{ROOT}delivery-drafts/{draft['id']}/attachments/"
    client, headers = api.client(R), {"Idempotency-Key": str(uuid.uuid4())}
    for _ in range(2):
        answer = client.post(
            address, {"file": SimpleUploadedFile("note.txt", PDF)}, format="multipart", headers=headers
        )
        assert answer.status_code == 201
    assert (answer.json()["name"], answer.json()["content_type"]) == ("note.pdf", "application/pdf")
    assert client.get(address).json()["results"] == [answer.json()]
    headers = {"Idempotency-Key": str(uuid.uuid4())}
    for content, status, code in ((b"MZ", 400, "unknown_file"), (b"", 400, "empty_file")):
        body = {"file": SimpleUploadedFile("x.pdf", content)}
        refused = client.post(address, body, format="multipart", headers=headers)
        assert problem_of(refused, status)["code"] == code
    problem_of(client.post(address, {"file": "x"}, format="json", headers=headers), 415)


def test_a_file_is_read_in_whole_or_told_by_line_and_column_and_never_twice(api: Api, draft):
    address = f"{ROOT}delivery-drafts/{draft['id']}/imports/"

    def sent(content: str, key: str) -> Any:
        body = {"file": SimpleUploadedFile("lines.csv", content.encode())}
        return api.client(R).post(address, body, format="multipart", headers={"Idempotency-Key": key})

    bad = problem_of(sent("material,quantity,unit\nSAAZ,5,L\nNOHOP,5,kg\n", str(uuid.uuid4())), 400)
    assert bad["code"] == "file_refused"
    assert [(fault["code"], fault["detail"]) for fault in bad["errors"]] == [
        ("bad_line", "Line 2, unit, “L”: Saaz is counted in kg."),
        ("bad_line", "Line 3, material, “NOHOP”: There is no material of this code."),
    ]
    good, key = "material,quantity,unit\nSAAZ,5,kg\nSAAZ,6,kg\n", str(uuid.uuid4())
    first, again = sent(good, key), sent(good, key)
    assert (first.status_code, first["ETag"], first.json()["line_count"]) == (201, '"2"', 2)
    assert again.json() == first.json()
    assert problem_of(sent(good, str(uuid.uuid4())), 409)["code"] == "file_read_before"
    assert problem_of(sent(good + "SAAZ,7,kg\n", key), 422)["code"] == "request_id_reused"


def test_what_is_not_there_is_told(api: Api):
    for address in (
        "delivery-drafts/99/",
        "delivery-drafts/99/lines/",
        "deliveries/99/",
        "delivery-drafts/99/attachments/",
    ):
        assert problem_of(api.get(address), 404)["code"] == "not_found"
    for address in ("delivery-drafts/99/bookings/", "delivery-drafts/99/scans/"):
        assert problem_of(send(api, "POST", address, {"text": "x"} if "scans" in address else {}, 1), 404)
