"""How people ask for a trace: kinds of link by name, moments as text."""

from datetime import datetime

from django.utils.dateparse import parse_datetime

from brewery.kernel.clock import aware
from brewery.kernel.errors import InvalidInput
from inventory.models import Link
from traceability.queries.graph import ALL_KINDS

NAMES = {kind.label: kind for kind in Link.Kind}


def kinds_by_name(text: str) -> frozenset[Link.Kind]:
    """Return the kinds of link named in `text`, separated by commas; all where it is empty. Raises InvalidInput."""
    names = [name.strip() for name in text.split(",") if name.strip()]
    for name in names:
        if name not in NAMES:
            raise InvalidInput(field="follow", value=name, problem=f"Name kinds of link: {', '.join(NAMES)}.")
    return frozenset(NAMES[name] for name in names) or ALL_KINDS


def moment(text: str) -> datetime | None:
    """Return the moment that `text` names, in the brewery's time zone unless it says; None where it is empty.

    Raises InvalidInput for what is no date and time.
    """
    if not text:
        return None
    try:
        parsed = parse_datetime(text)
    except ValueError:
        parsed = None
    if parsed is None:
        raise InvalidInput(field="as_of", value=text, problem="Give a date and time: 2026-05-14 09:30.")
    return aware(parsed)
