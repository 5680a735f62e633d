"""Two people at once: of two who decide on the same lots one is told, and one certificate is entered once."""

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connections

from brewery.kernel.errors import DomainError
from inventory.models import Certificate, Decision
from inventory.services.decisions import SeenLot, decide_on_lots
from tests.brewhouse import Brewhouse
from tests.inventory.laboratory import Laboratory

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]

LOTS = ("M1", "M2", "M3")


@pytest.fixture
def house(brewhouse: Brewhouse) -> Brewhouse:
    for number, code in enumerate(LOTS):
        brewhouse.deliver("MUNICH", code, "100 kg", note=str(number))
    return brewhouse


def at_once(*calls: Callable[[], object]) -> list[str]:
    """Make the calls at the same time, and return what became of each, in the order of the alphabet."""
    start = threading.Barrier(len(calls), timeout=60)

    def call(one: Callable[[], object]) -> str:
        try:
            start.wait()
            one()
        except DomainError as refused:
            return type(refused).__name__
        finally:
            connections.close_all()
        return "done"

    with ThreadPoolExecutor(len(calls)) as threads:
        return sorted(threads.map(call, calls))


def test_of_two_who_decide_on_the_same_lots_one_is_told(house: Brewhouse):
    """They name the lots in opposite order, and wait for each other in no circle."""
    lots = [house.lot(code) for code in LOTS]

    def decide(disposition: str, step: int) -> Callable[[], object]:
        seen = [SeenLot(lot, "quarantined") for lot in lots[::step]]
        who = house.by("quality")
        return lambda: decide_on_lots(lots=seen, disposition=disposition, reason="looked at", **who)

    assert at_once(decide("released", 1), decide("rejected", -1)) == ["NotDecided", "done"]
    assert len({house.lot(code).disposition for code in LOTS}) == 1
    assert Decision.objects.count() == len(LOTS)


def test_one_certificate_that_two_enter_at_once_is_entered_once(house: Brewhouse):
    lab = Laboratory(house)
    enter = [lambda: lab.enter("M1", number="A-7", values={"moisture": "4.5"}) for _ in range(2)]
    assert at_once(*enter) == ["CertificateKnown", "done"]
    assert Certificate.objects.count() == 1


def test_of_two_corrections_at_once_one_is_told(house: Brewhouse):
    lab = Laboratory(house)
    wrong = lab.enter("M1", values={"moisture": "45"})
    correct = [lambda: lab.enter("M1", values={"moisture": "4.5"}, replaces=wrong) for _ in range(2)]
    assert at_once(*correct) == ["AlreadyReplaced", "done"]
    assert Certificate.objects.filter(replaces=wrong).count() == 1
