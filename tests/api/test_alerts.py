"""Alerts over the API: found, narrowed, seen, put off."""

from datetime import timedelta

from brewery.kernel.clock import now
from inventory.services.alerts import look
from tests.api.client import Api, problem_of


def test_alerts_are_narrowed_and_what_is_done_about_one_stays_with_it(api: Api):
    api.house.stock_up()
    api.house.decide("M1", "rejected", hours=5, reason="mould")
    look("rejected_here")
    (alert,) = api.get("alerts/?is_open=true&owner=quality&lot=M1&severity=warning", "quality").json()["results"]
    assert (alert["kind"], alert["lot"], alert["material"]) == ("rejected_here", "M1", "PILS")
    assert alert["address"].startswith("/lots/")
    for nothing in ("is_open=false", "severity=urgent", "owner=brewing", "is_put_off=true", "kind=order_late"):
        assert not api.get(f"alerts/?{nothing}", "quality").json()["results"]
    until = (now() + timedelta(hours=1)).isoformat()
    step = {"alert": alert["id"], "done": "snoozed", "until": until, "note": "the lorry comes at noon"}
    assert api.post("alert-steps/", step, "quality").status_code == 201
    whole = api.get(f"alerts/{alert['id']}/", "auditor").json()
    assert [(one["done"], one["note"]) for one in whole["steps"]] == [("snoozed", "the lorry comes at noon")]
    assert api.get("alerts/?is_put_off=true", "quality").json()["results"]


def test_what_cannot_be_put_off_is_refused_by_field(api: Api):
    api.house.stock_up()
    api.house.decide("M1", "rejected", hours=5, reason="mould")
    look("rejected_here")
    (alert,) = api.get("alerts/", "quality").json()["results"]
    for wrong, field in (
        ({"done": "snoozed"}, "until"),
        ({"done": "snoozed", "until": "2020-01-01T00:00:00Z"}, "until"),
        ({"alert": alert["id"] + 1, "done": "woken"}, "alert"),
    ):
        problem = problem_of(api.post("alert-steps/", {"alert": alert["id"], **wrong}, "quality"), 400)
        assert [error["field"] for error in problem["errors"]] == [field]
