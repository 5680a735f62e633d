"""Documents of an invented supplier, to be sent and to be spoilt."""

import json
from copy import deepcopy
from pathlib import Path
from typing import Any

REFERENCE: dict[str, Any] = json.loads((Path(__file__).parent / "reference_events.json").read_text("utf-8"))
"""Events of every type, with all that a hash has to put in order."""

TRANSFORMATION, OBJECT, AGGREGATION, ASSOCIATION, TRANSACTION = 0, 3, 5, 6, 7


def events() -> list[dict[str, Any]]:
    """Return the events of the reference document."""
    return REFERENCE["epcisBody"]["eventList"]


def of_events(*told: dict[str, Any]) -> dict[str, Any]:
    """Return a document of these events."""
    document = deepcopy(REFERENCE)
    document["epcisBody"]["eventList"] = deepcopy(list(told))
    return document


def shipped(lot: str = "88-1", **more: Any) -> dict[str, Any]:
    """Return a supplier's event: a lot of malt leaves."""
    return {
        "type": "ObjectEvent",
        "eventTime": "2026-02-27T09:00:00.000Z",
        "eventTimeZoneOffset": "+01:00",
        "quantityList": [
            {"epcClass": f"https://id.gs1.org/01/09521234500018/10/{lot}", "quantity": 1000, "uom": "KGM"}
        ],
        "action": "OBSERVE",
        "bizStep": "shipping",
        "disposition": "in_transit",
        **more,
    }
