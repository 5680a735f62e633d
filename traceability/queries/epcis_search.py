"""What EPCIS is asked of the record: the events of a lot's trace, of a period, or those that a query narrows to."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet

from brewery.kernel.database.sets import portions
from inventory.models import Event, Lot, Posting
from traceability.epcis.identifiers import canonical
from traceability.epcis.rules import named_in
from traceability.epcis.vocabulary import Json
from traceability.queries.epcis_events import events_of, events_with_all, told_events
from traceability.queries.epcis_names import Names
from traceability.queries.graph import Direction
from traceability.queries.trace import trace

READ_AT_ONCE, READ_AT_MOST = 100, 2000


@dataclass(frozen=True)
class Wanted:
    """What a query narrows to, by the names of the standard's parameters; nothing where nothing was asked.

    Of `epcs`, URIs of pallets, an event has to name one, and of `classes`, URIs of lots.
    """

    types: Collection[str] = ()
    steps: Collection[str] = ()
    dispositions: Collection[str] = ()
    ids: Collection[str] = ()
    since: datetime | None = None
    before: datetime | None = None
    recorded_since: datetime | None = None
    recorded_before: datetime | None = None
    epcs: Collection[str] = ()
    classes: Collection[str] = ()

    def fits(self, event: Json) -> bool:
        """Whether the event is one of those, its times aside."""
        asked = ((self.types, "type"), (self.steps, "bizStep"), (self.dispositions, "disposition"))
        if any(wanted and event.get(name) not in wanted for wanted, name in (*asked, (self.ids, "eventID"))):
            return False
        named = {canonical(uri) for _, uri, _ in named_in(event)}
        return all(_is_among(things, named) for things in (self.epcs, self.classes) if things)


def _is_among(things: Collection[str], named: Collection[str]) -> bool:
    """Whether one of the things is named; a GTIN alone is every lot of it."""
    wanted = [canonical(thing) for thing in things]
    return any(name == thing or name.startswith(f"{thing}/10/") for thing in wanted for name in named)


@dataclass(frozen=True)
class Place:
    """How far a query has come: the event of the record that comes next, and how many of its own were told."""

    event: int = 0
    told: int = 0


@dataclass(frozen=True)
class Page:
    """The events of one page, and where the next begins; None after the last."""

    events: list[Json]
    next: Place | None


def search(wanted: Wanted, *, most: int, place: Place) -> Page:
    """Return up to `most` events from `place` on, in the order in which they were recorded.

    A page may hold fewer although more follow: no more than `READ_AT_MOST` events of the record are read for it.
    """
    names, found = Names(), list[Json]()
    rows = _narrowed(wanted, names).filter(pk__gte=place.event).order_by("pk")
    for read, event in enumerate(rows.iterator(chunk_size=READ_AT_ONCE)):
        if read == READ_AT_MOST:
            return Page(found, Place(event.pk))
        told = events_of(event, names)
        for number in range(place.told if event.pk == place.event else 0, len(told)):
            if wanted.fits(told[number]):
                if len(found) == most:
                    return Page(found, Place(event.pk, number))
                found.append(told[number])
    return Page(found, None)


def _narrowed(wanted: Wanted, names: Names) -> QuerySet[Event]:
    times = {
        "happened_at__gte": wanted.since,
        "happened_at__lt": wanted.before,
        "recorded_at__gte": wanted.recorded_since,
        "recorded_at__lt": wanted.recorded_before,
    }
    rows = events_with_all().filter(**{name: at for name, at in times.items() if at})
    for things in (wanted.epcs, wanted.classes):
        # What a reversal mirrors moved the same lots, so it is found with what it reverses.
        rows = rows.filter(_naming(things, names)) if things else rows
    return rows


def _naming(things: Collection[str], names: Names) -> Q:
    """Return the condition on events of the record that something of the lots, or of what the pallets held, moved."""
    ssccs = [canonical(thing).rsplit("/", 1)[-1] for thing in things]
    moved = (
        {"lot__in": Lot.objects.filter(names.lots_named(things))},
        {"from_location__logistic_unit__sscc__in": ssccs},
        {"to_location__logistic_unit__sscc__in": ssccs},
    )
    found = Q(pk=None)
    for condition in moved:
        events = Posting.objects.filter(**condition).values("event")
        found |= Q(pk__in=events)
    return found


def events_of_lot(lot: Lot) -> list[Json]:
    """Return the events of the lot and of all that it is made of or went into, in order of time.

    What an ancestor became besides is left out.
    """
    names = Names()
    reached = {lot.pk, *(other for way in Direction for other in trace(lot, way).reached)}
    classes = {names.lot(row) for portion in portions(reached) for row in Lot.objects.filter(pk__in=portion)}
    rows = (row for portion in portions(reached) for row in _touching(portion))
    events = sorted({row.pk: row for row in rows}.values(), key=lambda row: (row.happened_at, row.pk))
    return [told for told in told_events(events, names) if _is_of(told, classes)]


def events_between(since: datetime, before: datetime) -> Iterator[Json]:
    """Yield the events that happened from the first moment until the second, in order of time."""
    names = Names()
    rows = events_with_all().filter(happened_at__gte=since, happened_at__lt=before).order_by("happened_at", "pk")
    for event in rows.iterator(chunk_size=READ_AT_ONCE):
        yield from events_of(event, names)


def _touching(lots: Collection[int]) -> QuerySet[Event]:
    return events_with_all().filter(pk__in=Posting.objects.filter(lot__in=lots).values("event"))


def _is_of(told: Json, classes: Collection[str]) -> bool:
    rows = told.get("outputQuantityList") or [
        row for name in told if name.endswith("uantityList") for row in told[name]
    ]
    return any(row["epcClass"] in classes for row in rows)
