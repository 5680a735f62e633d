"""Everything that is wrong with a document that somebody sent."""

from dataclasses import replace
from typing import Any

from traceability.epcis.faults import NOT_SHOWN, Fault, Path
from traceability.epcis.limits import faults_of_size
from traceability.epcis.rules import faults_of_rules
from traceability.epcis.schema import faults_of_form


def faults_of(document: Any) -> list[Fault]:
    """Return the faults of a document: what is too much, else what departs from the schema, else what cannot be."""
    faults = faults_of_size(document) or faults_of_form(document) or faults_of_rules(document)
    return [replace(fault, value=_value_at(document, fault.path)) for fault in faults]


def _value_at(document: Any, path: Path) -> Any:
    """Return the plain value that lies there, or that none is to be shown."""
    for step in path:
        try:
            document = document[step]
        except (KeyError, IndexError, TypeError):
            return NOT_SHOWN
    return document
