"""The record as EPCIS documents: each step of a chain is told once, in the published form, under its own hash."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from brewery.kernel.clock import now
from inventory.models import Event
from inventory.services.pallets import load_pallet, make_pallet, unload_pallet
from inventory.services.trade_items import add_trade_item
from tests.brewhouse import Brewhouse, at
from tests.standing import built_once
from traceability.epcis.checking import faults_of
from traceability.epcis.hashing import event_hash
from traceability.epcis.schema import published_validator
from traceability.epcis.vocabulary import context, document, query_document
from traceability.queries.epcis_search import Place, Wanted, events_between, events_of_lot, search
from traceability.services.epcis_documents import document_of

OWN = "https://quillmere.example/id"
SSCC = "095212345000000018"
GTIN = "09521234500032"
KEGS = f"https://id.gs1.org/01/{GTIN}/10/KEG1"


@built_once
def chain(brewhouse: Brewhouse) -> Brewhouse:
    """The whole chain; a pallet was loaded, unloaded and loaded by mistake, which is reversed."""
    brewhouse.whole_chain()
    material = brewhouse.material("KEG50")
    add_trade_item(gtin=GTIN, material=material, content_micro=1_000_000, **brewhouse.by("administration"))
    unit = make_pallet(sscc=SSCC, stands_in=brewhouse.place("COLD"), made_at=at(320), **brewhouse.by("receiving"))
    for hours, is_meant in ((341, True), (343, False)):
        parts = brewhouse.parts([("KEG1", "COLD", "2 each")])
        loaded = load_pallet(unit=unit, parts=parts, happened_at=at(hours), **brewhouse.by("receiving"))
        if is_meant:
            unload_pallet(unit=unit, happened_at=at(hours + 1), **brewhouse.by("receiving"))
        else:
            brewhouse.reverse(loaded)
    return brewhouse


def pages(wanted: Wanted, most: int) -> Iterator[list[dict[str, Any]]]:
    place: Place | None = Place()
    while place:
        page = search(wanted, most=most, place=place)
        yield page.events
        place = page.next


def steps(wanted: Wanted) -> list[str]:
    return [event["bizStep"] for page in pages(wanted, 50) for event in page]


def test_a_trace_is_a_document_of_the_published_form_whose_events_bear_their_hashes(chain: Brewhouse):
    told = document(events_of_lot(chain.lot("KEG1")), now())
    assert faults_of(told) == []
    assert list(published_validator().iter_errors(told)) == []
    events = told["epcisBody"]["eventList"]
    assert [event["eventID"] for event in events] == [event_hash(event, context()) for event in events]
    meant = [event["eventID"] for event in events if "errorDeclaration" not in event]
    assert len(set(meant)) == len(meant)
    [made] = [event for event in events if KEGS in json.dumps(event.get("outputQuantityList"))]
    assert made["inputQuantityList"] == [
        {"epcClass": f"{OWN}/lot/BB1", "quantity": 500, "uom": "LTR"},
        {"epcClass": f"{OWN}/lot/K1", "quantity": 10},
    ]
    assert made["readPoint"] == {"id": "https://id.gs1.org/414/9521234000006/254/COLD"}


def test_each_step_of_the_chain_is_told_in_the_words_of_the_vocabulary(chain: Brewhouse):
    told = events_of_lot(chain.lot("KEG1"))
    assert [(event["type"], event["bizStep"]) for event in told if KEGS in json.dumps(event)] == [
        ("TransformationEvent", "commissioning"),
        ("ObjectEvent", "shipping"),
        ("ObjectEvent", "receiving"),
        ("AggregationEvent", "packing"),
        ("AggregationEvent", "unpacking"),
        ("AggregationEvent", "packing"),
        ("AggregationEvent", "packing"),
    ]
    shipped, back = (next(row for row in told if row.get("disposition") == how) for how in ("in_transit", "returned"))
    assert shipped["destinationList"][0]["destination"] == back["sourceList"][0]["source"] == f"{OWN}/party/INN"


def test_a_reversed_event_is_told_again_with_its_declaration(chain: Brewhouse):
    packed = [event for event in events_of_lot(chain.lot("KEG1")) if event["bizStep"] == "packing"][1:]
    first, declared = packed
    assert declared["eventID"] == first["eventID"]
    reversal = Event.objects.get(kind="reverse")
    assert declared["errorDeclaration"]["reason"] == "did_not_occur"
    assert declared["errorDeclaration"]["declarationTime"][:19] == reversal.recorded_at.isoformat()[:19]


@pytest.mark.usefixtures("whole_chain")
def test_what_an_ancestor_became_besides_is_left_out(brewhouse: Brewhouse):
    brewhouse.ferment(number=2, vessel="FV2", hours=20)
    assert f"{OWN}/lot/T2" not in json.dumps(events_of_lot(brewhouse.lot("KEG1")))


def test_a_gtin_of_another_company_is_no_name_of_ours(chain: Brewhouse, settings: Any):
    settings.GS1_COMPANY_PREFIX = "4012345"
    assert f"{OWN}/lot/KEG1" in json.dumps(events_of_lot(chain.lot("KEG1")))


def test_a_query_narrows_by_type_step_time_and_thing_and_pages_hold_each_event_once(chain: Brewhouse):
    assert steps(Wanted(steps=["shipping"])) == ["shipping"]
    assert steps(Wanted(types=["AggregationEvent"])) == ["packing", "unpacking", "packing", "packing"]
    assert steps(Wanted(since=at(312), before=at(340))) == ["commissioning", "other", "shipping"]
    assert steps(Wanted(epcs=[f"https://id.gs1.org/00/{SSCC}"], steps=["unpacking"])) == ["unpacking"]
    assert steps(Wanted(classes=[f"{OWN}/lot/T1"]))[0] == "commissioning"
    whole = steps(Wanted(classes=[KEGS]))
    assert steps(Wanted(classes=[f"https://id.gs1.org/01/{GTIN}"])) == whole
    assert steps(Wanted(classes=["urn:epc:class:lgtin:9521234.050003.KEG1"])) == whole
    assert steps(Wanted(classes=[f"{OWN}/lot/NONE"])) == steps(Wanted(recorded_since=now())) == []
    found = list(pages(Wanted(), 4))
    assert [event for page in found for event in page] == next(pages(Wanted(), 200))
    assert {len(page) for page in found[:-1]} == {4}
    assert list(published_validator().iter_errors(query_document(found[0], now()))) == []


def test_a_period_is_a_document_too(chain: Brewhouse):
    assert {event["bizStep"] for event in events_between(at(320), at(341))} == {"shipping", "receiving"}
    assert document_of("", at(0), at(1))["epcisBody"]["eventList"]


def test_the_command_writes_the_document(chain: Brewhouse, tmp_path: Path):
    file = tmp_path / "keg1.json"
    call_command("epcis_document", "KEG1", "--out", str(file))
    assert faults_of(json.loads(file.read_text("utf-8"))) == []
    for arguments, words in (
        (["NONE"], "no lot"),
        ([], "Give a lot"),
        (["KEG1", "--out", str(tmp_path)], "cannot be written"),
    ):
        with pytest.raises(CommandError, match=words):
            call_command("epcis_document", *arguments)
