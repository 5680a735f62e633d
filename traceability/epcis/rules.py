"""The rules that the published schema does not hold: refusals for what cannot be, doubts for what is only unusual.

Sources: EPCIS 2.0, sections 7.3 and 7.4; GS1 General Specifications, for check digits and lots.
"""

from collections.abc import Iterator

from traceability.epcis.faults import Fault, Path, missing
from traceability.epcis.hashing import event_hash
from traceability.epcis.identifiers import link_of
from traceability.epcis.limits import LONGEST_URI, MOST_EVENTS, MOST_THINGS
from traceability.epcis.vocabulary import EPC_LISTS, QUANTITY_LISTS, Json

EVENTS: Path = ("epcisBody", "eventList")


def faults_of_rules(document: Json) -> list[Fault]:
    """Return what cannot be in a document whose form is right."""
    events = document["epcisBody"]["eventList"]
    if len(events) > MOST_EVENTS:
        return [Fault(EVENTS, len(events), f"Send at most {MOST_EVENTS} events at once.")]
    return [fault for place, event in enumerate(events) for fault in _faults(event, (*EVENTS, place))]


def doubts_of(document: Json) -> list[Fault]:
    """Return what the standard allows and somebody should look at."""
    context, events = document["@context"], document["epcisBody"]["eventList"]
    return [doubt for place, event in enumerate(events) for doubt in _doubts(event, context, (*EVENTS, place))]


def named_in(event: Json) -> list[tuple[Path, str, str]]:
    """Return every thing that the event names: where, the URI, and in which part it stands there."""
    named: list[tuple[Path, str, str]] = []
    if "parentID" in event:
        named.append((("parentID",), event["parentID"], "parent"))
    for name in EPC_LISTS:
        named += [((name, place), uri, _part(name)) for place, uri in enumerate(event.get(name, ()))]
    for name in QUANTITY_LISTS:
        rows = enumerate(event.get(name, ()))
        named += [((name, place, "epcClass"), row["epcClass"], _part(name)) for place, row in rows]
    return named


def _part(name: str) -> str:
    return next((part for part in ("input", "output", "child") if name.startswith(part)), "thing")


def _faults(event: Json, base: Path) -> Iterator[Fault]:
    named = named_in(event)
    if len(named) > MOST_THINGS:
        yield Fault(base, len(named), f"Name at most {MOST_THINGS} things in one event.")
    for path, uri, _ in [*named, *_places(event), *_words(event)]:
        if len(uri) > LONGEST_URI:
            yield Fault((*base, *path), uri, f"Name it in {LONGEST_URI} characters at most.")
        link = link_of(uri)
        if link and link.fault:
            yield Fault((*base, *path), uri, link.fault)
    for name in QUANTITY_LISTS:
        for place, row in enumerate(event.get(name, ())):
            if "quantity" in row and row["quantity"] <= 0:
                yield Fault((*base, name, place, "quantity"), row["quantity"], "Give more than 0, or leave it out.")
    if event["type"] == "AggregationEvent" and event["action"] != "OBSERVE" and "parentID" not in event:
        yield missing((*base, "parentID"), f"Say from or into what: {event['action']} has a parent.")


def _words(event: Json) -> list[tuple[Path, str, str]]:
    return [((name,), event[name], "") for name in ("eventID", "bizStep", "disposition") if name in event]


def _places(event: Json) -> list[tuple[Path, str, str]]:
    places = [((name, "id"), event[name]["id"], "") for name in ("readPoint", "bizLocation") if name in event]
    return [
        *places,
        *(
            ((f"{name}List", place, name), one[name], "")
            for name in ("source", "destination")
            for place, one in enumerate(event.get(f"{name}List", ()))
        ),
    ]


def _doubts(event: Json, context: object, base: Path) -> Iterator[Fault]:
    for name in QUANTITY_LISTS:
        for place, row in enumerate(event.get(name, ())):
            if "quantity" not in row:
                yield missing((*base, name, place, "quantity"), "It is not said how much: ask the sender.")
    if not {"bizStep", "disposition", "readPoint", "bizLocation"} & event.keys():
        yield missing(base, "It is said neither why nor where it happened: ask the sender.")
    told = event.get("eventID", "")
    if told.startswith("ni:///sha-256;") and told.endswith("?ver=CBV2.0") and told != event_hash(event, context):
        yield Fault((*base, "eventID"), told, "It is not the hash of this content: ask whether something was changed.")
