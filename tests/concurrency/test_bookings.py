"""Two clerks at one delivery, or at one delivery note. On PostgreSQL, where they really act side by side."""

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.db import connections

from brewery.kernel.errors import DomainError
from inventory.models import Delivery, Event, Lot
from inventory.services.delivery_scans import scan_into_delivery
from inventory.services.trade_items import add_trade_item
from tests.brewhouse import Brewhouse, micro, rid
from tests.inventory.dock import Dock

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]

CLERKS = 8


def side_by_side(count: int, work: Callable[[int], object]) -> list[str]:
    """Do the work in so many threads that start together; return what each met: a refusal's code, or nothing."""
    together = threading.Barrier(count, timeout=60)

    def one(number: int) -> str:
        try:
            together.wait()
            work(number)
        except DomainError as refused:
            return refused.code
        finally:
            connections.close_all()
        return "done"

    with ThreadPoolExecutor(count) as threads:
        return sorted(threads.map(one, range(count)))


@pytest.fixture
def dock(brewhouse: Brewhouse) -> Dock:
    return Dock(brewhouse)


def test_of_two_clerks_who_book_one_delivery_one_does_and_the_other_is_told_who(dock: Dock):
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg")
    clerks = [dock, Dock(dock.house, "quality")]
    version = draft.version
    met = side_by_side(2, lambda number: clerks[number].book(draft, version))
    assert met == ["done", "draft_booked"]
    assert (Lot.objects.count(), Event.objects.filter(kind="receive").count()) == (1, 1)
    assert sum(balance for balance in Lot.objects.values_list("made_micro", flat=True)) == micro("5 kg")


def test_a_booking_that_is_sent_many_times_at_once_is_one_answer_to_all(dock: Dock):
    draft = dock.open()
    dock.add(draft, "SAAZ", "5 kg")
    request, version = rid(), draft.version
    met = side_by_side(CLERKS, lambda _: dock.book(draft, version, request_id=request))
    assert met == ["done"] * CLERKS
    assert (Lot.objects.count(), Event.objects.filter(kind="receive").count()) == (1, 1)


def test_one_note_in_two_drafts_is_booked_once_and_questioned_once(dock: Dock):
    drafts = [dock.open(), dock.open()]
    for draft in drafts:
        dock.add(draft, "SAAZ", "5 kg")
    versions = [draft.version for draft in drafts]
    met = side_by_side(2, lambda number: dock.book(drafts[number], versions[number]))
    assert met == ["done", "not_bookable"]
    assert Lot.objects.count() == 1


def test_boxes_that_two_clerks_scan_at_once_are_all_there_each_with_a_code_of_its_own(dock: Dock):
    gtin = "09521234543213"  # of GS1's own demonstration prefix 952
    add_trade_item(gtin=gtin, material=dock.house.material("SAAZ"), **dock.house.by("administration"))
    draft = dock.open()
    clerks = [dock, Dock(dock.house, "quality")]

    def scan(number: int) -> None:
        scan_into_delivery(delivery=draft, text=f"01{gtin}310300{5000 + number}", **clerks[number % 2].who)

    assert side_by_side(CLERKS, scan) == ["done"] * CLERKS
    lines = list(draft.lines.order_by("position"))
    assert {line.quantity_micro for line in lines} == {micro(f"{5000 + number} g") for number in range(CLERKS)}
    assert [line.position for line in lines] == list(range(1, CLERKS + 1))
    assert len({line.lot_code for line in lines}) == CLERKS
    assert Delivery.objects.get(pk=draft.pk).version == CLERKS + 1
