"""What others tell is taken in whole or not at all, once, unchanged, beside the record and never in the ledger."""

import json
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from inventory.models import Event, Lot
from inventory.services.trade_items import add_trade_item
from tests.api.client import Api, fields_of, problem_of
from tests.brewhouse import Brewhouse
from tests.standing import built_once
from tests.traceability.epcis.documents import of_events, shipped
from traceability.epcis.checking import faults_of
from traceability.models import CapturedDocument, CapturedEvent, CapturedThing
from traceability.queries.epcis_captured import captured_naming
from traceability.services.epcis_capture import EventIdReused, EventIdTwice, capture_document
from traceability.services.epcis_documents import document_of

CAPTURE = "epcis/capture/?party=MALTINGS"
NAME = "urn:uuid:8b4f6f0e-6f0e-4b5c-9a55-0c5a3f1f1170"
ERROR = {"declarationTime": "2026-03-01T08:00:00Z", "reason": "incorrect_data"}


@built_once
def api(brewhouse: Brewhouse) -> Api:
    return Api(brewhouse)


def take_in(house: Brewhouse, *events: dict[str, Any], party: str = "MALTINGS") -> CapturedDocument:
    return capture_document(document=of_events(*events), party=house.party(party), **house.by("receiving"))


def asked(api: Api, **query: Any) -> list[str]:
    answer = api.get("epcis/captured-events/", **query)
    assert answer.status_code == 200, answer.content
    told = answer.json()["epcisBody"]["queryResults"]["resultsBody"]["eventList"]
    return [event["eventID"] for event in told]


def test_a_document_is_taken_in_with_who_sent_it_and_posts_nothing(api: Api):
    answer = api.post(CAPTURE, of_events(shipped(eventID=NAME)), "receiving")
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["party"], told["captured_by"], told["new_events"]) == ("MALTINGS", "receiving", [NAME])
    assert (told["known_events"], told["doubts"]) == (0, [])
    assert not Event.objects.exists()
    assert not Lot.objects.exists()
    kept = api.get("epcis/captured-events/").json()
    [event] = kept["epcisBody"]["queryResults"]["resultsBody"]["eventList"]
    assert {**event, "recordTime": None} == {**shipped(eventID=NAME), "recordTime": None}


def test_a_document_may_come_under_the_name_of_linked_data(api: Api):
    text = json.dumps(of_events(shipped()))
    assert api.post_text(CAPTURE, text, "receiving", "application/ld+json").status_code == 201


def test_the_same_event_again_is_the_same_event_however_it_is_written(brewhouse: Brewhouse):
    take_in(brewhouse, shipped(eventID=NAME), shipped("88-2"))
    again = take_in(
        brewhouse,
        shipped(eventID=NAME, recordTime="2026-03-01T00:00:00Z", eventTime="2026-02-27T10:00:00+01:00"),
        shipped("88-2"),
        shipped("88-3"),
        shipped("88-3"),
        party="HOPYARD",
    )
    assert (again.known_events, again.events.count(), CapturedEvent.objects.count()) == (2, 1, 3)


def test_an_event_without_a_name_is_kept_under_its_hash(brewhouse: Brewhouse):
    [event] = take_in(brewhouse, shipped()).events.all()
    assert event.event_id == event.hash
    assert event.hash.startswith("ni:///sha-256;")


def test_the_same_name_for_other_content_is_refused_and_nothing_is_kept(brewhouse: Brewhouse):
    take_in(brewhouse, shipped(eventID=NAME))
    with pytest.raises(EventIdReused, match="Stowfield Maltings sent it") as refused:
        take_in(brewhouse, shipped("88-3"), shipped("88-2", eventID=NAME))
    assert refused.value.field == "epcisBody.eventList[1].eventID"
    with pytest.raises(EventIdTwice):
        take_in(brewhouse, shipped("88-3", eventID="urn:x:1"), shipped("88-2", eventID="urn:x:1"))
    assert (CapturedDocument.objects.count(), CapturedEvent.objects.count()) == (1, 1)


def test_an_error_is_declared_under_the_name_of_its_event_and_tells_the_same(brewhouse: Brewhouse):
    take_in(brewhouse, shipped(eventID=NAME))
    take_in(brewhouse, shipped(eventID=NAME, errorDeclaration=ERROR))
    assert list(CapturedEvent.objects.values_list("event_id", "is_error")) == [(NAME, False), (NAME, True)]
    take_in(brewhouse, shipped(eventID="urn:x:1"))
    with pytest.raises(EventIdReused):
        take_in(brewhouse, shipped("88-2", eventID="urn:x:1", errorDeclaration=ERROR))


def test_a_wrong_document_is_refused_by_path_and_value_and_its_key_stays_free(api: Api):
    key = "8b4f6f0e-6f0e-4b5c-9a55-0c5a3f1f1170"
    wrong = of_events(shipped(bizStep="transforming"), shipped(action="SEND"))
    problem = problem_of(api.post(CAPTURE, wrong, "receiving", key), 400)
    assert fields_of(problem) == ["epcisBody.eventList[0].bizStep", "epcisBody.eventList[1].action"]
    assert problem["errors"][0]["detail"] == (
        'epcisBody.eventList[0].bizStep: "transforming" is not accepted. '
        "Write a word of the vocabulary, or a URI of your own."
    )
    assert not CapturedDocument.objects.exists()
    assert api.post(CAPTURE, of_events(shipped()), "receiving", key).status_code == 201
    assert api.post(CAPTURE, of_events(shipped()), "receiving", key).json()["id"] == CapturedDocument.objects.get().pk
    problem_of(api.post(CAPTURE, of_events(shipped("88-2")), "receiving", key), 422)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("{", "parse_error"),
        ('{"a": 1, "a": 2}', "parse_error"),
        ("[" * 100_000, "parse_error"),
        ('{"type": ' + '{"a":' * 40 + "1" + "}" * 41, "wrong_document"),
        ('{"type": "\\u0000"}', "wrong_document"),
        ('{"type": 1e999}', "wrong_document"),
        ("[]", "wrong_document"),
    ],
)
def test_what_is_no_document_is_a_clear_problem(api: Api, text: str, code: str):
    answer = api.post_text(CAPTURE, text, "receiving")
    problem = problem_of(answer, 400)
    assert code in (problem["code"], *(fault["code"] for fault in problem["errors"]))


def test_a_document_larger_than_a_request_may_be_is_refused(api: Api, settings: Any):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1000
    problem_of(api.post(CAPTURE, of_events(*[shipped()] * 9), "receiving"), 413)


@pytest.mark.parametrize("address", ["epcis/capture/", "epcis/capture/?party=NOBODY"])
def test_who_sent_it_has_to_be_said(api: Api, address: str):
    assert fields_of(problem_of(api.post(address, of_events(shipped()), "receiving"), 400)) == ["party"]


def test_what_was_captured_is_narrowed_as_the_record_is(api: Api):
    kept = shipped(eventID="urn:x:a"), shipped("88-2", eventID="urn:x:b", bizStep="cbv:BizStep-departing")
    take_in(api.house, *kept)
    take_in(api.house, shipped("88-2", eventID="urn:x:c", eventTime="2026-02-28T09:00:00Z"))
    assert asked(api) == ["urn:x:a", "urn:x:b", "urn:x:c"]
    assert asked(api, EQ_bizStep="departing") == ["urn:x:b"]
    assert asked(api, eventType="AggregationEvent") == []
    assert asked(api, EQ_eventID="urn:x:c|urn:x:a") == ["urn:x:a", "urn:x:c"]
    assert asked(api, GE_eventTime="2026-02-27T09:00:00Z", LT_eventTime="2026-02-28T09:00:00Z") == [
        "urn:x:a",
        "urn:x:b",
    ]
    assert asked(api, MATCH_anyEPCClass="urn:epc:class:lgtin:9521234.050001.88-2") == ["urn:x:b", "urn:x:c"]
    assert asked(api, MATCH_anyEPCClass="https://id.gs1.org/01/09521234500018") == ["urn:x:a", "urn:x:b", "urn:x:c"]
    assert asked(api, perPage=2, nextPageToken="0.0") == ["urn:x:a", "urn:x:b"]
    following = api.get("epcis/captured-events/", perPage=2)["Link"].split("nextPageToken=")[1].split(">")[0]
    assert asked(api, nextPageToken=following) == ["urn:x:c"]


def test_a_clerk_sees_what_a_supplier_told_of_its_lot_and_a_customer_of_ours(api: Api, client: Any):
    house = api.house
    house.deliver("PILS", "M1", "1 t", supplier_lot="88-1")
    own = "https://quillmere.example/id/lot/M1"
    take_in(house, shipped(eventID="urn:x:a"))
    take_in(house, shipped(eventID="urn:x:b", eventTime="2026-02-28T09:00:00Z"), party="HOPYARD")
    seen = {"quantityList": [{"epcClass": own, "quantity": 1}], "bizStep": "accepting"}
    take_in(house, shipped(eventID="urn:x:c", **seen), party="INN")
    assert asked(api, lot="M1") == ["urn:x:a", "urn:x:c"]
    client.force_login(house.people["receiving"])
    page = client.get(f"/lots/{house.lot('M1').pk}/").content.decode()
    assert "What others told of it" in page
    assert "accepting" in page


@pytest.mark.usefixtures("whole_chain")
def test_packaged_beer_is_found_by_its_gtin_and_lot(brewhouse: Brewhouse):
    material = brewhouse.material("KEG50")
    add_trade_item(gtin="09521234500018", material=material, content_micro=1_000_000, **brewhouse.by("administration"))
    take_in(brewhouse, shipped("KEG1", bizStep="receiving"), party="INN")
    assert [event.step for event in captured_naming(brewhouse.lot("KEG1"))] == ["receiving"]


def test_what_is_odd_is_doubted_and_kept(brewhouse: Brewhouse):
    document = take_in(brewhouse, shipped(quantityList=[{"epcClass": "urn:x:lot:7"}]))
    assert document.doubts == [
        {
            "field": "epcisBody.eventList[0].quantityList[0].quantity",
            "detail": "It is not said how much: ask the sender.",
        }
    ]


@pytest.mark.parametrize("model", [CapturedDocument, CapturedEvent, CapturedThing])
def test_what_was_captured_is_never_changed_nor_deleted(brewhouse: Brewhouse, model: Any):
    take_in(brewhouse, shipped())
    field = (
        {"known_events": 1} if model is CapturedDocument else {"lot": "x"} if model is CapturedThing else {"step": "x"}
    )
    for spoil in (lambda: model.objects.update(**field), lambda: model.objects.all()._raw_delete("default")):
        with pytest.raises(IntegrityError), transaction.atomic():
            spoil()


def test_our_own_documents_can_be_taken_in(brewhouse: Brewhouse):
    brewhouse.stock_up()
    document = document_of("M1", None, None)
    assert faults_of(document) == []
    kept = capture_document(document=document, party=brewhouse.party("INN"), **brewhouse.by("receiving"))
    assert kept.doubts == []
