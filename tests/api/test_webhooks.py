"""Webhooks over the API: the secret is shown once, and what was told is listed."""

from inventory.services.alerts import look
from tests.api.client import Api, problem_of


def test_an_address_is_entered_told_and_ended(api: Api, settings):
    settings.WEBHOOKS_WITHIN = True
    asked = {"address": "http://127.0.0.1:9/told", "kinds": ["rejected_here"], "severity": "warning"}
    made = api.post("webhooks/", asked, "administration").json()
    assert made["secret"].startswith("whsec_")
    (listed,) = api.get("webhooks/", "administration").json()["results"]
    assert listed == {name: value for name, value in made.items() if name != "secret"}
    api.house.stock_up()
    api.house.decide("M1", "rejected", hours=5, reason="mould")
    look("rejected_here")
    (message,) = api.get("webhook-messages/?is_sent=false", "administration").json()["results"]
    assert (message["webhook"], message["event"], message["sent_at"]) == (made["id"], "alert.opened", None)
    assert not api.get("webhook-messages/?is_sent=true", "administration").json()["results"]
    again = api.post("webhook-sendings/", {"message": message["id"]}, "administration")
    assert (again.status_code, again.json()["id"]) == (201, made["id"])
    ended = api.post("webhook-endings/", {"webhook": made["id"]}, "administration")
    assert (ended.status_code, ended.json()["ended_at"] is None) == (201, False)
    problem_of(api.post("webhook-sendings/", {"message": message["id"]}, "administration"), 400)


def test_a_person_wishes_for_mail_and_sees_only_what_is_his_own(api: Api):
    asked = {"has_digest": False, "has_urgent": True}
    problem = problem_of(api.post("mail-wishes/", asked, "brewing"), 400)
    assert [error["field"] for error in problem["errors"]] == ["has_urgent"]
    person = api.house.people["brewing"]
    person.email = "brewer@brewery.example"
    person.save()
    assert api.post("mail-wishes/", asked, "brewing").status_code == 201
    (told,) = api.get("mail-wishes/", "brewing").json()["results"]
    assert {name: told[name] for name in asked} == asked
    assert api.get("mail-wishes/", "quality").json()["results"] == []


def test_what_cannot_be_told_is_refused_by_field(api: Api):
    for asked, field in (
        ({"address": "https://127.0.0.1/told"}, "address"),
        ({"address": "https://127.0.0.1/told", "kinds": ["weather"]}, "kinds"),
    ):
        problem = problem_of(api.post("webhooks/", asked, "administration"), 400)
        assert [error["field"] for error in problem["errors"]] == [field]
