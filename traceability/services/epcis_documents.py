"""EPCIS documents of the record."""

from datetime import datetime

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from traceability.epcis.vocabulary import Json, document
from traceability.queries.epcis_search import events_between, events_of_lot
from traceability.queries.lookup import lot_by_code


def document_of(lot: str, since: datetime | None, before: datetime | None) -> Json:
    """Return the document of a lot's trace, by its code, or of a period. Raises NotFound, InvalidInput."""
    if lot and not since and not before:
        return document(events_of_lot(lot_by_code(lot)), now())
    if lot or not since or not before:
        problem = "Give a lot, or else both ends of a period: from GE_eventTime until before LT_eventTime."
        raise InvalidInput(field="lot", value=lot, problem=problem)
    return document(list(events_between(since, before)), now())
