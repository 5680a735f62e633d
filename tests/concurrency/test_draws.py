"""Many people draw at once. On PostgreSQL, where writers really run side by side."""

import threading
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

import pytest
from django.db import IntegrityError, connection, connections

from brewery.kernel.database import triggers
from brewery.kernel.errors import DomainError
from brewery.production.models import Brew
from brewery.production.services.work import draw_for
from inventory.models import Lot, Posting
from inventory.queries.audits import run_audits
from inventory.services import checks, posting
from inventory.services.stock import Part
from tests.brewhouse import Brewhouse, at, micro

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]

PEOPLE = 32
ENOUGH_FOR = 20
CAREFUL = "balance_is_never_below_zero"


def side_by_side(count: int, work: Callable[[int], None]) -> Counter[str]:
    """Do the work in so many threads that start together; count what each met: its error's class, or nothing."""
    together = threading.Barrier(count)

    def one(number: int) -> str:
        try:
            together.wait()
            work(number)
        except (DomainError, IntegrityError) as refused:
            return type(refused).__name__
        finally:
            connections.close_all()
        return "done"

    with ThreadPoolExecutor(count) as threads:
        return Counter(threads.map(one, range(count)))


def brews(house: Brewhouse, count: int) -> list[Brew]:
    """Each person draws for a brew of their own, so nothing but the lot is shared."""
    return [house.start_brew(f"B{number}", hours=1) for number in range(count)]


def draw(house: Brewhouse, brew: Brew, *parts: Part) -> None:
    draw_for(work=brew, parts=parts, happened_at=at(2), **house.by("brewing"))


def drawn_micro(lot: str) -> int:
    rows = Posting.objects.filter(lot__code=lot, to_location__kind="process")
    return sum(rows.values_list("quantity_micro", flat=True))


def findings() -> list[str]:
    return [str(finding) for _, found in run_audits() for finding in found]


def test_nobody_draws_more_than_there_is_and_everybody_else_is_told(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", f"{ENOUGH_FOR} kg")
    own = brews(brewhouse, PEOPLE)
    part = Part(brewhouse.lot("H1"), brewhouse.place("STORE"), micro("1 kg"))
    met = side_by_side(PEOPLE, lambda number: draw(brewhouse, own[number], part))
    assert met == {"done": ENOUGH_FOR, "NotEnoughThere": PEOPLE - ENOUGH_FOR}
    assert brewhouse.held("H1", "STORE") == 0
    assert drawn_micro("H1") == micro(f"{ENOUGH_FOR} kg")
    assert findings() == []


def test_two_lots_drawn_in_either_order_never_wait_for_each_other_in_a_circle(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "100 kg")
    brewhouse.deliver("CASCADE", "H2", "100 kg", note="2")
    own = brews(brewhouse, PEOPLE)
    parts = [Part(brewhouse.lot(code), brewhouse.place("STORE"), micro("1 kg")) for code in ("H1", "H2")]
    met = side_by_side(PEOPLE, lambda number: draw(brewhouse, own[number], *parts[:: 1 if number % 2 else -1]))
    assert met == {"done": PEOPLE}
    assert (drawn_micro("H1"), drawn_micro("H2")) == (micro("32 kg"), micro("32 kg"))


def test_no_draw_slips_past_a_hold(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "100 kg")
    own = brews(brewhouse, PEOPLE)
    part = Part(brewhouse.lot("H1"), brewhouse.place("STORE"), micro("1 kg"))

    def work(number: int) -> None:
        if number == PEOPLE // 2:
            brewhouse.decide("H1", "on_hold", hours=2)
        else:
            draw(brewhouse, own[number], part)

    met = side_by_side(PEOPLE, work)
    assert met["done"] + met["LotNotReleased"] == PEOPLE
    assert drawn_micro("H1") == micro(f"{met['done'] - 1} kg")
    assert brewhouse.lot("H1").disposition == "on_hold"
    assert findings() == []


@contextmanager
def without_the_lock(people: int):
    """Lots are read without being locked, and everybody has checked before anybody writes: the race is certain."""
    everybody_has_checked = threading.Barrier(people)
    check = checks.refuse_more_than_was_there_then

    def check_and_wait(*args: object) -> None:
        check(*args)
        everybody_has_checked.wait()

    def read_only(lots):
        return {lot.pk: lot for lot in Lot.objects.filter(pk__in={lot.pk for lot in lots}).select_related("material")}

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(posting, "lock_lots", read_only)
        patch.setattr(checks, "refuse_more_than_was_there_then", check_and_wait)
        yield


@contextmanager
def without_the_rule():
    """The database does not refuse a balance below zero; the rule is put back, as after the test's rows are gone."""
    with connection.cursor() as cursor:
        cursor.execute(f"ALTER TABLE inventory_balance DROP CONSTRAINT {CAREFUL}")
    yield
    triggers.drop_all(connection)
    with connection.cursor() as cursor:
        cursor.execute("TRUNCATE inventory_posting, inventory_balance CASCADE")
        cursor.execute(
            f"ALTER TABLE inventory_balance ADD CONSTRAINT {CAREFUL} CHECK (quantity_micro >= 0 OR may_go_below_zero)"
        )
    triggers.install_all(connection)


def test_without_the_lock_only_the_database_stands_between_two_people_and_one_sack(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "1 kg")
    own = brews(brewhouse, 2)
    part = Part(brewhouse.lot("H1"), brewhouse.place("STORE"), micro("1 kg"))
    with without_the_lock(2):
        met = side_by_side(2, lambda number: draw(brewhouse, own[number], part))
    assert met == {"done": 1, "IntegrityError": 1}


def test_without_the_lock_and_the_rule_two_people_draw_the_same_sack(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "1 kg")
    own = brews(brewhouse, 2)
    part = Part(brewhouse.lot("H1"), brewhouse.place("STORE"), micro("1 kg"))
    with without_the_rule():
        with without_the_lock(2):
            met = side_by_side(2, lambda number: draw(brewhouse, own[number], part))
        assert met == {"done": 2}
        assert drawn_micro("H1") == micro("2 kg")
