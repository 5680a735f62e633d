"""The event hash is that of CBV 2.0, as the published reference generator (epcis-event-hash-generator 1.9.3) has it."""

from typing import Any

import pytest

from tests.traceability.epcis.documents import AGGREGATION, OBJECT, REFERENCE, events
from traceability.epcis.hashing import event_hash, text_to_hash
from traceability.epcis.identifiers import canonical, link_of, lot_named_by

COMPUTED = (
    "36a9f3a912043a578233d311a7583cb1daf863bb89ca75cab0e0a25124d44236",
    "058a41db2dcfe12710a4f6376c4ae8d0650b62e821a29d7c23d7ed1543357a64",
    "058a41db2dcfe12710a4f6376c4ae8d0650b62e821a29d7c23d7ed1543357a64",  # the same, written otherwise
    "4be9094f26d479c197b52e971ddbd866f4575dd7815650af0c9f89f075990cdd",
    "30d6dab8c052426f6d8a3a86e9f2867c97174bc40ef62f86395e7ae5d89b01ec",
    "17414efa2fa86b0bc64ab8da8ae7955926dd7c91d87d291ab57eacf01042d334",
    "e1d59bae3ec4af162ba870fb4d6c42dd6013ff1aedf3e7b640b22bb43b36370b",
    "84eff8205992c802cae48a82b3ed498ac1af2ea7f97932d32295095c2542b505",
)


def hash_of(event: dict[str, Any]) -> str:
    return event_hash(event, REFERENCE["@context"])


def test_every_reference_event_has_the_hash_that_the_reference_generator_computes():
    assert [hash_of(event) for event in events()] == [f"ni:///sha-256;{digest}?ver=CBV2.0" for digest in COMPUTED]


@pytest.mark.parametrize(
    "more",
    [
        {"eventID": "urn:uuid:8b4f6f0e-6f0e-4b5c-9a55-0c5a3f1f1170"},
        {"recordTime": "2026-01-01T00:00:00Z"},
        {"errorDeclaration": {"declarationTime": "2026-01-01T00:00:00Z", "reason": "did_not_occur"}},
        {"bizStep": "cbv:BizStep-packing"},
        {"bizStep": "urn:epcglobal:cbv:bizstep:packing"},
        {"childEPCs": ["https://brewery.example/01/09521234500032/10/B9/21/12%2F3?linkType=all"]},
    ],
)
def test_what_says_the_same_has_the_same_hash(more: dict[str, Any]):
    event = events()[AGGREGATION]
    assert hash_of({**event, **more}) == hash_of(event)


def test_other_content_has_another_hash():
    event = events()[AGGREGATION]
    assert hash_of({**event, "action": "DELETE"}) != hash_of(event)


def test_sources_and_destinations_stand_where_the_section_lists_them():
    ends = {
        "destinationList": [{"type": "location", "destination": "urn:x:b"}],
        "sourceList": [{"type": "owning_party", "source": "urn:x:c"}, {"type": "owning_party", "source": "urn:x:a"}],
    }
    text = text_to_hash({**events()[OBJECT], **ends}, REFERENCE["@context"])
    party = "type=https://ref.gs1.org/cbv/SDT-owning_party"
    assert (
        f"sourceListsource=urn:x:a{party}source=urn:x:c{party}"
        "destinationListdestination=urn:x:btype=https://ref.gs1.org/cbv/SDT-location{https://ns.example.com/epcis/}list"
    ) in text


@pytest.mark.parametrize(
    ("uri", "lot"),
    [
        ("urn:epc:class:lgtin:9521234.050003.B%2F7", "B/7"),
        ("https://id.gs1.org/01/09521234500032/10/B0117", "B0117"),
        ("https://id.gs1.org/01/09521234500032", ""),
        ("https://id.gs1.org/00/095212345000000018", ""),
        ("https://maltings.example/lots/88-1", "88-1"),
        ("urn:maltings:lot:88%2F1", "88/1"),
    ],
)
def test_a_name_tells_its_lot(uri: str, lot: str):
    assert lot_named_by(uri) == lot


@pytest.mark.parametrize(
    "uri", ["https://brewery.example/orders/01/7", "urn:epc:id:sgtin:1.2.3", "urn:uuid:0", "https://brewery.example/"]
)
def test_what_is_no_key_of_gs1_is_left_as_it_is(uri: str):
    assert (canonical(uri), link_of(uri)) == (uri, None)
