"""The API as people use it: each request is somebody's, and each write has its key."""

import json
import uuid
from typing import Any

from rest_framework.test import APIClient

from tests.brewhouse import Brewhouse

ROOT = "/api/v1/"
PROBLEM_MEMBERS = {"type", "title", "status", "detail", "code", "errors"}


class Api:
    """Sends requests in the name of a role's person."""

    def __init__(self, house: Brewhouse) -> None:
        self.house = house

    def client(self, role: str | None) -> APIClient:
        """Return a client signed in as the role's person; None is nobody."""
        client = APIClient()
        if role is not None:
            client.force_authenticate(self.house.people[role])
        return client

    def get(self, address: str, role: str | None = "auditor", **query: Any) -> Any:
        """GET an address below the root."""
        return self.client(role).get(ROOT + address, query)

    def post(self, address: str, body: Any, role: str | None, key: uuid.UUID | str | None = "") -> Any:
        """POST a body as JSON, under a new key unless one is given; None sends none."""
        headers = {} if key is None else {"Idempotency-Key": str(key or uuid.uuid4())}
        # As text in ASCII, since the test client cannot write half a character and a bad sender can.
        text = json.dumps(body)
        return self.client(role).generic("POST", ROOT + address, text, content_type="application/json", headers=headers)

    def post_text(self, address: str, text: str | bytes, role: str, content_type: str = "application/json") -> Any:
        """POST a body exactly as it stands."""
        headers = {"Idempotency-Key": str(uuid.uuid4())}
        return self.client(role).generic("POST", ROOT + address, text, content_type=content_type, headers=headers)


def problem_of(answer: Any, status: int) -> dict[str, Any]:
    """Return the problem that the answer is, having checked its form."""
    assert answer.status_code == status, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    problem: dict[str, Any] = json.loads(answer.content)
    assert set(problem) == PROBLEM_MEMBERS
    assert problem["status"] == status
    assert problem["type"] == f"/problems/{problem['code']}"
    assert problem["title"].endswith(".")
    assert "Traceback" not in problem["detail"]
    return problem


def fields_of(problem: dict[str, Any]) -> list[str]:
    """Return the fields that a problem names, in order."""
    return [fault["field"] for fault in problem["errors"]]
