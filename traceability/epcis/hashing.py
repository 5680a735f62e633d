"""The event hash of CBV 2.0, section 8.9: a name for an event that anybody works out from its content alone.

What is hashed is one text: each field's name and value in a fixed order, whatever way the event was written. Two
published implementations write parentID first of the names of things, as here; on sourceList and destinationList they
differ from each other, and the order here is the one that the section lists.
"""

import hashlib
import re
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from traceability.epcis.identifiers import canonical
from traceability.epcis.vocabulary import CBV, EPC_LISTS, QUANTITY_LISTS, Json, moment

GS1_TERMS = "https://gs1.org/voc/"
_PREFIXES = {"gs1": GS1_TERMS, "epcis": "https://ref.gs1.org/epcis/", "cbv": CBV}
_URNS = {"bizstep": "BizStep-", "disp": "Disp-", "btt": "BTT-", "sdt": "SDT-", "er": "ER-"}

_ORDER = (
    *("eventTime", "eventTimeZoneOffset", "certificationInfo", "parentID", "epcList", "inputEPCList", "childEPCs"),
    *("quantityList", "childQuantityList", "inputQuantityList", "outputEPCList", "outputQuantityList"),
    *("action", "transformationID", "bizStep", "disposition", "persistentDisposition", "readPoint", "bizLocation"),
    *("bizTransactionList", "sourceList", "destinationList", "sensorElementList"),
)
_METADATA = (
    *("time", "startTime", "endTime", "deviceID", "deviceMetadata", "rawData", "dataProcessingMethod", "bizRules"),
)
_REPORT = (
    *("type", "exception", "deviceID", "deviceMetadata", "rawData", "dataProcessingMethod", "time", "microorganism"),
    *("chemicalSubstance", "value", "component", "stringValue", "booleanValue", "hexBinaryValue", "uriValue"),
    *("minValue", "maxValue", "meanValue", "sDev", "percRank", "percValue", "uom", "coordinateReferenceSystem"),
)
_QUANTITY = ("epcClass", "quantity", "uom")
_NOT_HASHED = frozenset({"type", "eventID", "recordTime", "errorDeclaration", "@context", "ilmd", "rdfs:comment"})
_PAIRS = {
    "bizTransactionList": ("bizTransaction", "BTT-"),
    "sourceList": ("source", "SDT-"),
    "destinationList": ("destination", "SDT-"),
}
_BARE = {"bizStep": "BizStep-", "disposition": "Disp-", "set": "Disp-", "unset": "Disp-"}
_BARE_GS1 = frozenset({"type", "exception", "component"})
_BARE_WORD = re.compile(r"[A-Za-z][A-Za-z_]*")


def event_hash(event: Json, context: Any = ()) -> str:
    """Return the event's ni URI. `context` is the document's @context, which says what prefixes stand for."""
    digest = hashlib.sha256(text_to_hash(event, context).encode()).hexdigest()
    return f"ni:///sha-256;{digest}?ver=CBV2.0"


def text_to_hash(event: Json, context: Any = ()) -> str:
    """Return the text whose digest names the event."""
    return _Writer(_prefixes(context) | _prefixes(event.get("@context"))).event(event)


def _prefixes(context: Any) -> dict[str, str]:
    parts = context if isinstance(context, list | tuple) else [context]
    named = [part for part in parts if isinstance(part, dict)]
    return {key: value for part in named for key, value in part.items() if isinstance(value, str)}


class _Writer:
    """Writes the parts of one event; `prefixes` are those that its document declares."""

    def __init__(self, prefixes: Mapping[str, str]) -> None:
        self.declared = prefixes

    def event(self, event: Json) -> str:
        text = f"eventType={event['type']}" + "".join(
            self._field(name, event[name]) for name in _ORDER if name in event
        )
        if ilmd := event.get("ilmd"):
            text += "ilmd" + "".join(self._extensions(ilmd))
        rest = {key: value for key, value in event.items() if key not in {*_ORDER, *_NOT_HASHED}}
        return text + "".join(self._extensions(rest))

    def _field(self, name: str, value: Any) -> str:
        if name in EPC_LISTS:
            return _listed(name, (f"epc={canonical(one.strip())}" for one in value))
        if name in QUANTITY_LISTS:
            return _listed(name, ("quantityElement" + self._fields(_QUANTITY, one) for one in value))
        if name in _PAIRS:
            return _listed(name, (self._pair(name, one) for one in value))
        if name == "sensorElementList":
            return _listed(name, (self._sensor(one) for one in value))
        if isinstance(value, dict):
            known = ("set", "unset") if name == "persistentDisposition" else ("id",)
            return name + self._fields(known, value) + self._others(known, value)
        if isinstance(value, list):
            return "".join(sorted(self._field(name, one) for one in value))
        return f"{name}={self._value(name, value)}"

    def _fields(self, names: tuple[str, ...], part: Json) -> str:
        return "".join(self._field(name, part[name]) for name in names if name in part)

    def _others(self, known: tuple[str, ...], part: Json) -> str:
        return "".join(self._extensions({key: value for key, value in part.items() if ":" in key and key not in known}))

    def _pair(self, name: str, one: Json) -> str:
        key, stem = _PAIRS[name]
        kind = f"type={self._worded(one['type'], stem)}" if "type" in one else ""
        return f"{key}={self._value(key, one[key])}{kind}"

    def _sensor(self, element: Json) -> str:
        metadata = element.get("sensorMetadata")
        text = "sensorElement"
        if metadata:
            text += "sensorMetadata" + self._fields(_METADATA, metadata) + self._others(_METADATA, metadata)
        reports = ("sensorReport" + self._report(one) for one in element.get("sensorReport", ()))
        return text + "".join(sorted(reports)) + self._others(("sensorMetadata", "sensorReport"), element)

    def _report(self, report: Json) -> str:
        spelled = {
            key: GS1_TERMS + value if key in _BARE_GS1 and _BARE_WORD.fullmatch(str(value)) else value
            for key, value in report.items()
        }
        return self._fields(_REPORT, spelled) + self._others(_REPORT, spelled)

    def _extensions(self, members: Json) -> list[str]:
        return sorted(text for key, value in members.items() for text in self._extension(self._key(key), value))

    def _extension(self, key: str, value: Any) -> Iterator[str]:
        if isinstance(value, list):
            for one in value:
                yield from self._extension(key, one)
        elif isinstance(value, dict):
            yield key + "".join(self._extensions(value))
        else:
            yield f"{key}={self._value('', value)}"

    def _key(self, key: str) -> str:
        prefix, _, local = key.partition(":")
        namespace = self.declared.get(prefix) or _PREFIXES.get(prefix)
        return f"{{{namespace}}}{local}" if namespace and local else key

    def _value(self, name: str, value: Any) -> str:
        if isinstance(value, bool):
            return str(value).lower()
        if isinstance(value, int | float):
            return _number(value)
        text = str(value).strip()
        if name in _BARE:
            return self._worded(text, _BARE[name])
        if "time" in name.lower() and "offset" not in name.lower():
            return _moment(text)
        return canonical(self._expanded(text))

    def _worded(self, text: str, stem: str) -> str:
        """Spell a word of the vocabulary out: bare, as an old URN, or with a prefix."""
        for kind, known in _URNS.items():
            text = text.replace(f"urn:epcglobal:cbv:{kind}:", CBV + known)
        return CBV + stem + text if _BARE_WORD.fullmatch(text) else self._expanded(text)

    def _expanded(self, text: str) -> str:
        prefix, _, local = text.partition(":")
        namespace = self.declared.get(prefix) or _PREFIXES.get(prefix)
        return namespace + local if namespace and local and not local.startswith("//") else text


def _listed(name: str, parts: Iterator[str]) -> str:
    texts = sorted(parts)
    return name + "".join(texts) if texts else ""


def _number(value: int | float) -> str:
    text = format(Decimal(repr(value)), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def _moment(text: str) -> str:
    try:
        at = datetime.fromisoformat(text).astimezone(UTC)
    except ValueError:
        return text
    return moment(at + timedelta(microseconds=round(at.microsecond, -3) - at.microsecond))
