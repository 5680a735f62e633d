"""The published JSON schema of EPCIS 2.0: where a document departs from it, in words.

Source: the schema in vendor/epcis, which came with its licence. Each event is tried against the form of its own type,
so that its own faults are told and not those of every other type.
"""

import json
import re
from collections.abc import Iterator
from copy import deepcopy
from datetime import datetime
from functools import cache
from pathlib import Path as File
from typing import Any

from jsonschema import Draft7Validator, FormatChecker
from jsonschema.exceptions import ValidationError

from traceability.epcis.faults import NOT_SHOWN, Fault, Path, missing
from traceability.epcis.vocabulary import EVENT_TYPES, Json

PUBLISHED = File(__file__).parent.parent / "vendor" / "epcis" / "EPCISDocument.schema.json"
EVENTS: Path = ("epcisBody", "eventList")
MOST_TOLD = 20

_MOMENT = re.compile(r"\d{4}-\d\d-\d\d[Tt]\d\d:\d\d:\d\d(\.\d+)?([Zz]|[+-]\d\d:\d\d)")
_URI = re.compile(r"[A-Za-z][A-Za-z0-9+.\-]*:([A-Za-z0-9\-._~:/?#\[\]@!$&'()*+,;=]|%[0-9A-Fa-f]{2})+")

_formats = FormatChecker(formats=())


@_formats.checks("date-time")
def _is_moment(value: object) -> bool:
    """RFC 3339, with its offset."""
    if not isinstance(value, str):
        return True
    try:
        return bool(_MOMENT.fullmatch(value) and datetime.fromisoformat(value.upper()))
    except ValueError:
        return False


@_formats.checks("uri")
def _is_uri(value: object) -> bool:
    """RFC 3986, with its scheme."""
    return not isinstance(value, str) or bool(_URI.fullmatch(value))


def published_validator() -> Draft7Validator:
    """Return a validator of the whole schema as it was published."""
    return Draft7Validator(_schema(), format_checker=_formats)


def faults_of_form(document: Any) -> list[Fault]:
    """Return where the document departs from the schema, up to `MOST_TOLD` faults; none where it does not."""
    faults = [fault for error in _shell().iter_errors(document) for fault in _told(error, ())]
    if not faults:
        for place, event in enumerate(document["epcisBody"]["eventList"]):
            faults += faults_of_event(event, (*EVENTS, place))
            if len(faults) >= MOST_TOLD:
                break
    return list(dict.fromkeys(faults))[:MOST_TOLD]


def faults_of_event(event: Any, path: Path) -> list[Fault]:
    """Return where one event departs from the form of its type."""
    if not isinstance(event, dict):
        return [Fault(path, event, "Write each event as an object.")]
    kind = event.get("type")
    if kind not in EVENT_TYPES:
        words = f"Name its type: {', '.join(EVENT_TYPES)}."
        return [Fault((*path, "type"), kind if "type" in event else NOT_SHOWN, words)]
    errors = list(_of_type(kind).iter_errors(event))
    # That no form fits says nothing where it is known what is wrong.
    known = [error for error in errors if not _is_choice(error)]
    return [fault for error in known or errors for fault in _told(error, path)]


@cache
def _schema() -> Json:
    published: Json = json.loads(PUBLISHED.read_text("utf-8"))
    return published


@cache
def _shell() -> Draft7Validator:
    """The form of a document, of whose events nothing is said."""
    definitions = deepcopy(_schema()["definitions"])
    definitions["eventList"] = {"type": "array", "minItems": 1}
    body = {"definitions": definitions, "$ref": "#/definitions/epcisDocument"}
    return Draft7Validator(body, format_checker=_formats)


@cache
def _of_type(kind: str) -> Draft7Validator:
    body = {"definitions": _schema()["definitions"], "$ref": f"#/definitions/{kind}"}
    return Draft7Validator(body, format_checker=_formats)


def _told(error: ValidationError, base: Path) -> Iterator[Fault]:
    path: Path = (*base, *error.absolute_path)
    rule, value = error.validator, error.instance
    if rule == "required":
        for name in error.validator_value:
            if name not in value:
                yield missing((*path, name), "It is missing: add it.")
    elif rule == "propertyNames" or "propertyNames" in error.absolute_schema_path:
        yield Fault((*path, str(value)), NOT_SHOWN, "There is no such field here: leave it out, or give it a prefix.")
    elif _is_choice(error):
        yield _of_choice(value, path)
    else:
        yield Fault(path, value if _is_plain(value) else NOT_SHOWN, _advice(error))


def _is_choice(error: ValidationError) -> bool:
    return bool(error.validator == "anyOf" and isinstance(error.instance, dict))


def _is_plain(value: Any) -> bool:
    return not isinstance(value, dict | list)


def _of_choice(event: Json, path: Path) -> Fault:
    """What none of several forms fits: ilmd where nothing begins, or an event about nothing."""
    if "ilmd" in event and event.get("action") in ("OBSERVE", "DELETE"):
        return Fault((*path, "ilmd"), NOT_SHOWN, "Master data belongs to action ADD alone: leave it out.")
    about = {
        "ObjectEvent": "an epcList, a quantityList with an entry, or a sensorElementList with its readPoint",
        "TransformationEvent": "inputs and outputs, or a transformationID and one of the two",
        "AggregationEvent": "childEPCs or a childQuantityList with an entry",
        "AssociationEvent": "childEPCs or a childQuantityList with an entry",
        "TransactionEvent": "an epcList or a quantityList with an entry",
    }
    words = about.get(str(event.get("type")))
    return Fault(path, NOT_SHOWN, f"Say what it is about: {words}." if words else "Write it as the standard has it.")


def _advice(error: ValidationError) -> str:
    match error.validator:
        case "format":
            forms = {
                "date-time": "Write a date and time with its offset, as in 2026-03-02T08:00:00.000+01:00.",
                "uri": "Write a URI, as in https://id.gs1.org/01/09521234500032/10/B0117.",
            }
            return forms.get(str(error.validator_value), "Write it in its form.")
        case "type":
            kinds = {"number": "a number without quotes", "string": "text in quotes", "array": "a list"}
            wanted = error.validator_value
            return f"Write {kinds.get(wanted, f'an {wanted}') if isinstance(wanted, str) else ' or '.join(wanted)}."
        case "enum":
            return f"Write {' or '.join(str(one) for one in error.validator_value[:6])}."
        case "pattern":
            return _pattern(error)
        case "uniqueItems":
            return "Name each thing once."
        case "minItems":
            return "Give it one entry at least."
        case "anyOf" | "oneOf":
            return "Write a word of the vocabulary, or a URI of your own."
    return "Write it as the standard has it."


def _pattern(error: ValidationError) -> str:
    name = error.absolute_path[-1] if error.absolute_path else ""
    forms = {
        "eventTimeZoneOffset": "Write the offset as +01:00; that of UTC is +00:00.",
        "uom": "Write a code of UN/CEFACT Recommendation 20, as KGM or LTR.",
        "schemaVersion": 'Write "2.0".',
    }
    return forms.get(str(name), f"Write it by the pattern {error.validator_value}.")
