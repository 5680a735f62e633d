"""Events with all that an answer shows of them."""

from django.db.models import Prefetch, QuerySet

from inventory.models import Event, Link, Lot, Posting


def events_in_brief() -> QuerySet[Event]:
    """Return the events, each with its person and its reversal, without what moved."""
    return Event.objects.select_related("actor", "reversed_by")


def events_in_full() -> QuerySet[Event]:
    """Return the events, each with its postings, its links and the lots it made: six queries however many."""
    postings = Posting.objects.select_related("lot__material", "from_location", "to_location")
    links = Link.objects.select_related("parent__material", "child")
    lots = Lot.objects.select_related("material")
    return events_in_brief().prefetch_related(
        Prefetch("postings", postings), Prefetch("links", links), Prefetch("made_lots", lots)
    )
