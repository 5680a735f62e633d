"""What cannot be in an EPCIS document is refused by path and value, with what to do; what is odd is doubted."""

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest

from tests.traceability.epcis.documents import (
    AGGREGATION,
    ASSOCIATION,
    OBJECT,
    REFERENCE,
    TRANSACTION,
    TRANSFORMATION,
    events,
    of_events,
)
from traceability.epcis.checking import faults_of
from traceability.epcis.limits import DEEPEST, MOST_EVENTS
from traceability.epcis.rules import doubts_of
from traceability.epcis.schema import published_validator

Event = dict[str, Any]
Spoil = Callable[[Event], Any]


def quantity(**more: Any) -> Spoil:
    """Change the first quantity, whichever list it stands in; None takes a member out."""

    def spoil(event: Event) -> None:
        name = next(name for name in event if name.endswith("uantityList"))
        event[name][0] |= more
        event[name][0] = {key: value for key, value in event[name][0].items() if value is not None}

    return spoil


def without(*names: str) -> Spoil:
    return lambda event: [event.pop(name) for name in names]


def having(**more: Any) -> Spoil:
    return lambda event: event.update(more)


MUTATIONS: tuple[tuple[int, Spoil, str], ...] = (
    # the event, how it is spoilt, the field that is named
    (TRANSFORMATION, without("eventTimeZoneOffset"), "eventTimeZoneOffset"),
    (TRANSFORMATION, having(eventTimeZoneOffset="Z"), "eventTimeZoneOffset"),
    (TRANSFORMATION, having(eventTime="2025-03-14T08:30:00"), "eventTime"),
    (TRANSFORMATION, having(eventTime="2025-02-30T08:30:00Z"), "eventTime"),
    (TRANSFORMATION, having(action="ADD"), "action"),
    (TRANSFORMATION, having(bizStep="transforming"), "bizStep"),
    (OBJECT, having(bizStep="urn:epcglobal:cbv:bizstep:shipping"), "bizStep"),
    (TRANSFORMATION, quantity(uom="ltr"), "inputQuantityList[0].uom"),
    (TRANSFORMATION, quantity(uom="KILO"), "inputQuantityList[0].uom"),
    (TRANSFORMATION, quantity(quantity="412.5"), "inputQuantityList[0].quantity"),
    (TRANSFORMATION, having(colour="red"), "colour"),
    (TRANSFORMATION, having(ilmd={"lotNumber": "B0117"}), "ilmd.lotNumber"),
    (TRANSFORMATION, without("outputQuantityList", "transformationID"), ""),
    (OBJECT, without("action"), "action"),
    (OBJECT, without("epcList", "quantityList"), ""),
    (OBJECT, having(ilmd={"cbvmda:lotNumber": "B0117"}), "ilmd"),
    (ASSOCIATION, without("parentID"), "parentID"),
    (TRANSACTION, having(bizTransactionList=[]), "bizTransactionList"),
    (AGGREGATION, having(persistentDisposition={"set": ["recalled"]}), "persistentDisposition"),
    (OBJECT, having(sourceList=[{"source": "urn:x:a"}]), "sourceList[0].type"),
    (OBJECT, having(epcList=["urn:x:a", "urn:x:a"]), "epcList"),
    (OBJECT, quantity(epcClass="lot 5"), "quantityList[0].epcClass"),
    (OBJECT, having(eventID="5"), "eventID"),
    (OBJECT, having(type="BrewEvent"), "type"),
    (OBJECT, having(errorDeclaration={"reason": "did_not_occur"}), "errorDeclaration.declarationTime"),
    # what the schema lets pass
    (TRANSFORMATION, quantity(quantity=-1), "inputQuantityList[0].quantity"),
    (TRANSFORMATION, quantity(quantity=0), "inputQuantityList[0].quantity"),
    (TRANSFORMATION, quantity(epcClass="https://id.gs1.org/01/09521234500019/10/A"), "inputQuantityList[0].epcClass"),
    (
        TRANSFORMATION,
        quantity(epcClass="https://id.gs1.org/01/09521234500018/10/" + "A" * 21),
        "inputQuantityList[0].epcClass",
    ),
    (OBJECT, having(readPoint={"id": "https://id.gs1.org/414/9521234500002"}), "readPoint.id"),
    (AGGREGATION, without("parentID"), "parentID"),
    (OBJECT, having(bizStep="https://brewery.example/" + "a" * 600), "bizStep"),
)


def test_a_document_with_nothing_wrong_has_no_faults_and_is_of_the_published_form():
    assert faults_of(REFERENCE) == []
    assert list(published_validator().iter_errors(REFERENCE)) == []


@pytest.mark.parametrize(("place", "spoil", "field"), MUTATIONS)
def test_what_an_event_cannot_be_is_refused_by_its_field(place: int, spoil: Spoil, field: str):
    document = deepcopy(REFERENCE)
    spoil(document["epcisBody"]["eventList"][place])
    faults = faults_of(document)
    assert [fault.field for fault in faults] == [f"epcisBody.eventList[{place}]" + (f".{field}" if field else "")]
    assert faults[0].advice.endswith(".")


@pytest.mark.parametrize("name", ["@context", "type", "schemaVersion", "creationDate", "epcisBody"])
def test_a_document_without_its_head_is_refused_by_what_is_missing(name: str):
    document = {key: value for key, value in REFERENCE.items() if key != name}
    assert name in [fault.field for fault in faults_of(document)]


@pytest.mark.parametrize("document", [None, [], 5, {}, {**REFERENCE, "epcisBody": {"eventList": []}}, of_events(5)])  # type: ignore[arg-type]
def test_what_is_no_document_at_all_is_refused(document: Any):
    assert faults_of(document)


def test_a_fault_shows_the_value():
    document = of_events({**events()[OBJECT], "disposition": "eaten"})
    [fault] = faults_of(document)
    assert (fault.shown, fault.advice) == ('"eaten"', "Write a word of the vocabulary, or a URI of your own.")


def nested(depth: int) -> Any:
    return {"ex:a": nested(depth - 1)} if depth else 1


@pytest.mark.parametrize("more", [nested(DEEPEST + 5), float("inf"), 10**400, "a\x00b", {"a\x00b": 1}])
def test_what_is_too_deep_or_cannot_be_kept_is_refused_before_anything_else(more: Any):
    [fault] = faults_of(of_events({**events()[OBJECT], "ex:more": more}))
    assert fault.field.startswith("epcisBody.eventList[0]")


def test_more_events_than_one_document_may_hold_are_refused():
    [fault] = faults_of(of_events(*[events()[AGGREGATION]] * (MOST_EVENTS + 1)))
    assert (fault.field, fault.advice) == ("epcisBody.eventList", f"Send at most {MOST_EVENTS} events at once.")


@pytest.mark.parametrize(
    ("place", "spoil", "field"),
    [
        (OBJECT, quantity(quantity=None), "quantityList[0].quantity"),
        (OBJECT, without("bizStep", "disposition", "readPoint"), ""),
        (OBJECT, having(eventID=f"ni:///sha-256;{'0' * 64}?ver=CBV2.0"), "eventID"),
    ],
)
def test_what_the_standard_allows_and_is_odd_is_doubted_and_not_refused(place: int, spoil: Spoil, field: str):
    event = deepcopy(events()[place])
    spoil(event)
    document = of_events(event)
    assert faults_of(document) == []
    assert [doubt.field for doubt in doubts_of(document)] == ["epcisBody.eventList[0]" + (f".{field}" if field else "")]
