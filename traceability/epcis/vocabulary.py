"""The words of EPCIS 2.0 and CBV 2.0 that documents are made of."""

from datetime import UTC, datetime
from typing import Any

CONTEXT = "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"
MASTER_DATA = {"cbvmda": "urn:epcglobal:cbv:mda:"}
SCHEMA_VERSION = "2.0"
CBV = "https://ref.gs1.org/cbv/"

EVENT_TYPES = ("ObjectEvent", "AggregationEvent", "TransactionEvent", "TransformationEvent", "AssociationEvent")

EPC_LISTS = ("epcList", "childEPCs", "inputEPCList", "outputEPCList")
QUANTITY_LISTS = ("quantityList", "childQuantityList", "inputQuantityList", "outputQuantityList")

Json = dict[str, Any]


_STEMS = tuple(start + stem for start in (CBV, "cbv:") for stem in ("BizStep-", "Disp-"))


def bare(word: str) -> str:
    """Return a word of the vocabulary without what it may be spelled out with; anything else as it is."""
    return next((word.removeprefix(stem) for stem in _STEMS if word.startswith(stem)), word)


def context() -> list[Any]:
    """Return the context that documents of ours declare."""
    return [CONTEXT, MASTER_DATA]


def moment(at: datetime) -> str:
    """Return a moment as events write it: UTC, to the millisecond."""
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def offset(at: datetime) -> str:
    """Return the offset of a moment's own time zone, as in +01:00."""
    return at.strftime("%z")[:3] + ":" + at.strftime("%z")[3:5]


def document(events: list[Json], created_at: datetime) -> Json:
    """Return the events as one document."""
    return {**_head("EPCISDocument", created_at), "epcisBody": {"eventList": events}}


def query_document(events: list[Json], created_at: datetime, query: str = "SimpleEventQuery") -> Json:
    """Return the events as the answer to a query."""
    results = {"queryName": query, "resultsBody": {"eventList": events}}
    return {**_head("EPCISQueryDocument", created_at), "epcisBody": {"queryResults": results}}


def _head(kind: str, created_at: datetime) -> Json:
    return {
        "@context": context(),
        "type": kind,
        "schemaVersion": SCHEMA_VERSION,
        "creationDate": moment(created_at),
    }
