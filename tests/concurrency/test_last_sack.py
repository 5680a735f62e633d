"""Two brewers draw the last sack at once, on the page and through the API. On PostgreSQL, where both really do."""

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connections
from django.test import Client

from inventory.models import Posting
from tests.api.chain import line, moment
from tests.api.client import Api, problem_of
from tests.brewhouse import Brewhouse, micro, person, rid
from tests.production.brewday import brew_by

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]

INSTEAD = "Free instead: 25 kg of lot M2 in Dry store."


def side_by_side(count: int, work: Callable[[int], object]) -> list[object]:
    """Do the work in so many threads that start together, and return what each made."""
    together = threading.Barrier(count, timeout=60)

    def one(number: int) -> object:
        try:
            together.wait()
            return work(number)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(count) as threads:
        return list(threads.map(one, range(count)))


@pytest.fixture
def house(brewhouse: Brewhouse) -> Brewhouse:
    """One sack is left of M1, and more is there of M2; B1 and B2 are under way."""
    brewhouse.deliver("PILS", "M1", "25 kg")
    brewhouse.deliver("PILS", "M2", "500 kg", note="2")
    brewhouse.people["second"] = person("second", "brewing")
    for code in ("B1", "B2"):
        brew_by(brewhouse, None, code)
    return brewhouse


def drawn_micro() -> int:
    rows = Posting.objects.filter(lot__code="M1", to_location__kind="process")
    return sum(rows.values_list("quantity_micro", flat=True))


def test_on_the_page_one_gets_it_and_the_other_is_told_of_another_lot(house: Brewhouse):
    def draw(number: int) -> object:
        client = Client()
        client.force_login(house.people[("brewing", "second")[number]], "django.contrib.auth.backends.ModelBackend")
        asked = {"request_id": rid(), "lot": "M1", "location": "STORE", "quantity": "25"}
        return client.post(f"/brewing/brews/B{number + 1}/draws/", asked)

    answers = side_by_side(2, draw)
    taken, refused = sorted(answers, key=lambda answer: answer.status_code)
    assert (taken.status_code, refused.status_code) == (303, 400)
    assert drawn_micro() == micro("25 kg")
    shown = refused.content.decode()
    assert "Dry store holds 0 kg of lot M1; 25 kg was asked for." in shown
    assert INSTEAD in shown


def test_through_the_api_one_gets_it_and_the_other_is_told_of_another_lot(house: Brewhouse):
    api = Api(house)

    def draw(number: int) -> object:
        body = {"happened_at": moment(3), "into": f"B{number + 1}", "lines": [line("M1", "STORE", "25")]}
        return api.post("draws/", body, ("brewing", "second")[number])

    answers = side_by_side(2, draw)
    taken, refused = sorted(answers, key=lambda answer: answer.status_code)
    assert taken.status_code == 201
    problem = problem_of(refused, 409)
    assert problem["code"] == "not_enough_there"
    assert problem["detail"].endswith(INSTEAD)
    assert drawn_micro() == micro("25 kg")
