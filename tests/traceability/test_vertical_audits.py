"""The vertical audit: every record that touches a lot, in order of time; a busy lot is asked no oftener."""

from collections import Counter
from datetime import timedelta

import pytest
from django.db.models import Q
from pytest_django import DjangoAssertNumQueries

from brewery.production.models import Brew
from brewery.production.services.brew_log import LogLine, write_in_log
from brewery.production.services.tank_readings import Measured, read_tanks
from inventory.models import Attachment, Link, Posting
from inventory.services.vessels import put_back_into_service, take_out_of_service
from tests.brewhouse import START, Brewhouse
from tests.inventory.laboratory import GOOD, Laboratory
from tests.standing import built_once
from traceability.printing.vertical_audits import audit_as_pdf, data_of
from traceability.queries.audit_entries import Entry, Sort
from traceability.queries.vertical_audits import record_of
from traceability.services.holds import place_hold, release_hold
from traceability.services.recalls import open_recall


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.whole_chain()
    return brewhouse


def record(house: Brewhouse, code: str) -> list[Entry]:
    return record_of(house.lot(code))


@pytest.mark.parametrize("code", ["M1", "T1", "BB1", "KEG1", "Y2"])
def test_every_posting_and_link_of_a_lot_is_told_in_order_of_time(house, code):
    entries = record(house, code)
    sorts = Counter(entry.sort for entry in entries)
    lot = house.lot(code)
    assert sorts[Sort.MOVEMENT] == Posting.objects.filter(lot=lot).count()
    assert sorts[Sort.LINK] == Link.objects.filter(Q(parent=lot) | Q(child=lot)).count()
    assert [entry.happened_at for entry in entries] == sorted(entry.happened_at for entry in entries)
    assert all(entry.who for entry in entries)


@pytest.mark.parametrize(("code", "asked"), [("M1", 22), ("BB1", 22), ("KEG1", 20), ("A1", 20)])
def test_a_busy_lot_is_asked_no_oftener_than_another(
    house: Brewhouse, code: str, asked: int, django_assert_num_queries: DjangoAssertNumQueries
):
    """One question each: postings, pallets, links, decisions, certificates, readings, uncleaned fills, changes of
    deliveries, fills, tanks filled from, samples thrown away, picks, outcomes of returns, counts, reservations,
    stand-ins, logs of brews, files, holds, recalls; and the cleanings and service of what it lay in, if it lay in a
    vessel.
    """
    lot = house.lot(code)
    with django_assert_num_queries(asked):
        record_of(lot)


def test_readings_of_the_tank_and_its_cleanings_around_the_lot_are_told(house):
    read_tanks(
        readings=[
            Measured(house.place("FV1"), "gravity", 12_000_000, START + timedelta(hours=90), ""),
        ],
        **house.by("brewing"),
    )
    for hours in (1, 20):
        house.clean("BT1", hours=hours)
    assert [entry.words for entry in record(house, "T1") if entry.sort is Sort.READING] == [
        "Fermenter 1: Gravity 12 °P"
    ]
    cleaned = [entry.happened_at for entry in record(house, "BB1") if entry.sort is Sort.CLEANING]
    assert START + timedelta(hours=20) in cleaned
    assert START + timedelta(hours=1) not in cleaned


def test_decisions_certificates_and_their_corrections_stay_in_sight(house):
    lab = Laboratory(house)
    wrong = lab.enter("M1", number="A-7", values=GOOD)
    lab.enter("M1", number="A-8", values=GOOD, replaces=wrong)
    house.decide("M1", "on_hold", hours=500)
    entries = record(house, "M1")
    told = {entry.words: entry.undone for entry in entries if entry.sort is Sort.CERTIFICATE}
    assert len(told) == 2
    assert {undone for undone in told.values() if undone} == {"corrected by certificate A-8"}
    assert "released → on hold" in [entry.words for entry in entries if entry.sort is Sort.DECISION]


def test_what_was_packaged_shipped_and_returned_is_told(house):
    words = " | ".join(entry.words for entry in record(house, "KEG1"))
    for part in (
        "Run R1: 10 filled, 0 thrown out",
        "4 each from Cold store to The Heron Inn",
        "BB1 left Bright tank 1",
    ):
        assert part in words


def told(house: Brewhouse, code: str, sort: Sort) -> dict[str, str]:
    return {entry.words: entry.why for entry in record(house, code) if entry.sort is sort}


def test_the_log_of_the_brew_and_its_files_are_told_of_its_wort(house):
    brew = Brew.objects.get(code="B1")
    line = LogLine("boil", words="boiled over")
    write_in_log(brew=brew, line=line, happened_at=START + timedelta(hours=5), **house.by("brewing"))
    facts = {"sha256": "0" * 64, "content_type": "image/png", "size_bytes": 1, "added_at": START}
    Attachment.objects.create(name="kettle.png", location=brew.location, added_by=house.people["brewing"], **facts)
    assert told(house, "W1", Sort.BREW_LOG) == {"Brew B1, boil: boiled over": ""}
    assert told(house, "W1", Sort.ATTACHMENT) == {f"File kettle.png, SHA-256 {'0' * 64}": ""}
    assert told(house, "M1", Sort.BREW_LOG) == {}


def test_marks_of_service_around_the_stay_holds_and_recalls_are_told(house):
    place = {"vessel": house.place("BT1"), "reason": "a valve"}
    take_out_of_service(happened_at=START + timedelta(hours=1), **place, **house.by("brewing"))
    put_back_into_service(happened_at=START + timedelta(hours=2), **place, **house.by("brewing"))
    assert told(house, "BB1", Sort.SERVICE) == {"Bright tank 1 put back into service": "a valve"}
    held = place_hold(lots=[house.lot("T1")], follow=["ingredient"], reason="glass", **house.by("quality"))
    release_hold(hold=held, lots=[house.lot("BB1")], reason="filtered", **house.by("quality"))
    assert told(house, "BB1", Sort.HOLD) == {
        f"Under hold {held.pk}: held as one that came of what was held": "glass",
        f"Released from hold {held.pk}": "filtered",
    }
    recall = open_recall(lots=[house.lot("BB1")], hazard="splinters", is_mock=True, **house.by("quality"))
    assert told(house, "BB1", Sort.RECALL) == {f"Mock recall {recall.pk} opened": "splinters"}


def test_what_was_reversed_says_when(house):
    event = Posting.objects.filter(lot=house.lot("KEG1"), event__kind="take_back").get().event
    house.reverse(event)
    undone = [entry for entry in record(house, "KEG1") if entry.undone]
    assert {entry.event for entry in undone} == {event.pk}
    assert all(entry.undone.startswith("reversed on ") for entry in undone)


def test_the_sheet_holds_every_record_and_is_a_pdf(house):
    lot = house.lot("KEG1")
    entries = record_of(lot)
    assert [row[2] for row in data_of(lot, entries)["entries"]] == [entry.words for entry in entries]
    pdf = audit_as_pdf(lot)
    assert pdf.startswith(b"%PDF")
    assert audit_as_pdf(lot) == pdf
