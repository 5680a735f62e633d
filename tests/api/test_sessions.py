"""Signing in and out over the API: tokens, expiry, lock-out."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from django.conf import settings
from knox.models import AuthToken
from rest_framework.test import APIClient

from inventory.models import Event
from tests.api.chain import MOVE
from tests.api.client import problem_of
from tests.brewhouse import PASSWORD, Brewhouse

NOON = datetime(2026, 6, 1, 12, tzinfo=UTC)


def sign_in(username: str = "brewing", password: str = PASSWORD) -> Any:
    """POST a name and a password."""
    return APIClient().post("/api/v1/sessions/", {"username": username, "password": password})


def with_token(token: str) -> APIClient:
    """Return a client that sends the token."""
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Token {token}")
    return client


def token() -> str:
    """Return a new token of the brewer's."""
    answer: dict[str, str] = json.loads(sign_in().content)
    return answer["token"]


def test_a_sign_in_gives_a_token_that_says_who_it_is(brewhouse: Brewhouse):
    answer = sign_in()
    assert answer.status_code == 201
    assert answer["Cache-Control"] == "no-store"
    session = json.loads(answer.content)
    assert session["person"]["roles"] == ["brewing"]
    me = json.loads(with_token(session["token"]).get("/api/v1/me/").content)
    assert me == session["person"]
    assert "draw_ingredients" in me["rights"]
    assert "receive_deliveries" not in me["rights"]


def test_the_token_itself_is_not_on_record(brewhouse: Brewhouse):
    given = token()
    assert not AuthToken.objects.filter(digest=given).exists()
    assert AuthToken.objects.get().digest not in given


@pytest.mark.parametrize(("username", "password"), [("brewing", "three wheat ears"), ("nobody", PASSWORD)])
def test_wrong_name_and_wrong_password_are_refused_alike(brewhouse: Brewhouse, username: str, password: str):
    answer = sign_in(username, password)
    problem = problem_of(answer, 401)
    assert problem["code"] == "wrong_password"
    assert answer["WWW-Authenticate"] == "Token"
    assert password not in answer.content.decode()


def test_somebody_who_is_no_longer_active_cannot_sign_in_or_use_a_token(brewhouse: Brewhouse):
    given = token()
    brewhouse.people["brewing"].is_active = False
    brewhouse.people["brewing"].save()
    problem_of(sign_in(), 401)
    problem_of(with_token(given).get("/api/v1/me/"), 401)


def test_a_token_expires(brewhouse: Brewhouse):
    lifetime: timedelta = settings.REST_KNOX["TOKEN_TTL"]
    with time_machine.travel(NOON, tick=False):
        answer = json.loads(sign_in().content)
    assert datetime.fromisoformat(answer["expires_at"]) == NOON + lifetime
    with time_machine.travel(NOON + lifetime - timedelta(minutes=1), tick=False):
        assert with_token(answer["token"]).get("/api/v1/me/").status_code == 200
    with time_machine.travel(NOON + lifetime + timedelta(minutes=1), tick=False):
        assert problem_of(with_token(answer["token"]).get("/api/v1/me/"), 401)["code"] == "authentication_failed"


def test_signing_out_ends_one_session_and_signing_out_everywhere_ends_all(brewhouse: Brewhouse):
    first, second, third = token(), token(), token()
    assert with_token(first).delete("/api/v1/sessions/current/").status_code == 204
    assert with_token(first).get("/api/v1/me/").status_code == 401
    assert with_token(second).delete("/api/v1/sessions/all/").status_code == 204
    assert with_token(third).get("/api/v1/me/").status_code == 401


def test_there_are_no_more_tokens_a_person_than_the_limit(brewhouse: Brewhouse):
    for _ in range(settings.REST_KNOX["TOKEN_LIMIT_PER_USER"]):
        assert sign_in().status_code == 201
    problem = problem_of(sign_in(), 409)
    assert problem["code"] == "too_many_tokens"
    assert "Sign out" in problem["detail"]


def test_a_name_is_locked_after_too_many_failures_and_free_after_a_while(brewhouse: Brewhouse):
    with time_machine.travel(NOON, tick=False):
        for _ in range(settings.AXES_FAILURE_LIMIT - 1):
            assert sign_in(password="wrong").status_code == 401
        assert problem_of(sign_in(password="wrong"), 429)["code"] == "locked_out"
        assert problem_of(sign_in(), 429)["code"] == "locked_out"
        assert sign_in("quality").status_code == 201
    with time_machine.travel(NOON + settings.AXES_COOLOFF_TIME + timedelta(minutes=1), tick=False):
        assert sign_in().status_code == 201


@pytest.mark.parametrize("header", ["Token", "Token a b", "Token ÿÿ", "Token " + "f" * 64, "Bearer x", "Basic eDp5"])
def test_a_token_that_is_none_is_refused(brewhouse: Brewhouse, header: str):
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=header)
    answer = client.get("/api/v1/me/")
    assert problem_of(answer, 401)["code"] in {"authentication_failed", "not_authenticated"}
    assert answer["WWW-Authenticate"] == "Token"


@pytest.mark.parametrize(
    "body", [{}, {"username": "brewing"}, {"username": 1, "password": []}, {"username": "a\x00b", "password": "x"}]
)
def test_a_sign_in_without_name_or_password_is_refused_field_by_field(brewhouse: Brewhouse, body: dict[str, Any]):
    problem = problem_of(APIClient().post("/api/v1/sessions/", body), 400)
    assert problem["errors"]
    assert all("value" not in fault for fault in problem["errors"] if fault["field"] == "password")


def in_the_pages(brewhouse: Brewhouse, role: str) -> APIClient:
    """Return a client that carries the cookie of somebody who has signed in to the pages, as a browser does."""
    client = APIClient(enforce_csrf_checks=True)
    client.force_login(brewhouse.people[role])
    return client


def test_whoever_has_signed_in_to_the_pages_may_read_the_api_by_their_rights(brewhouse: Brewhouse):
    assert in_the_pages(brewhouse, "auditor").get("/api/v1/me/").json()["username"] == "auditor"
    problem_of(in_the_pages(brewhouse, "").get("/api/v1/lots/"), 403)


def test_a_page_of_somebody_else_cannot_write_in_the_name_of_who_is_signed_in(brewhouse: Brewhouse):
    """A foreign page can make a browser send the cookie, but does not know the CSRF token."""
    brewhouse.stock_up()
    client = in_the_pages(brewhouse, "receiving")
    before = Event.objects.count()
    problem_of(client.post("/api/v1/moves/", MOVE, headers={"Idempotency-Key": str(uuid4())}), 403)
    assert Event.objects.count() == before
    client.get("/")
    headers = {"Idempotency-Key": str(uuid4()), "X-CSRFToken": client.cookies["csrftoken"].value}
    assert client.post("/api/v1/moves/", MOVE, headers=headers).status_code == 201
