"""What suppliers and customers told by EPCIS: narrowed as the standard's query does, and of one lot of ours."""

from collections.abc import Collection
from typing import Any

from django.db.models import Q, QuerySet

from inventory.models import Lot
from traceability.epcis.identifiers import canonical
from traceability.epcis.vocabulary import Json, moment
from traceability.models import CapturedEvent, CapturedThing
from traceability.queries.epcis_names import Names
from traceability.queries.epcis_search import Page, Place, Wanted


def captured_naming(lot: Lot) -> QuerySet[CapturedEvent]:
    """Return the events that name the lot: by its supplier's number where its supplier sent them, or by our name.

    They are in order of time, each with its document, who sent it and who took it in.
    """
    named = Q(uri=Names().lot(lot))
    if lot.supplier_id and lot.supplier_lot:
        named |= Q(lot=lot.supplier_lot, event__document__party=lot.supplier_id)
    events = CapturedThing.objects.filter(named).values("event")
    return _in_full().filter(pk__in=events).order_by("happened_at", "pk")


def search_captured(wanted: Wanted, *, lot: Lot | None, most: int, place: Place) -> Page:
    """Return up to `most` captured events from `place` on, in the order in which they came."""
    rows = captured_naming(lot) if lot else _in_full()
    found = list(_narrowed(rows, wanted).filter(pk__gte=place.event).order_by("pk")[: most + 1])
    following = Place(found[most].pk) if len(found) > most else None
    return Page([told_captured(event) for event in found[:most]], following)


def told_captured(event: CapturedEvent) -> Json:
    """Return the event as it was sent, with the name that it has here and when it was taken in."""
    recorded = {"eventID": event.event_id, "recordTime": moment(event.document.written_at)}
    return {**event.content, **recorded}


def _in_full() -> QuerySet[CapturedEvent]:
    return CapturedEvent.objects.select_related("document__party", "document__actor")


def _narrowed(rows: QuerySet[CapturedEvent], wanted: Wanted) -> QuerySet[CapturedEvent]:
    asked = {
        "type__in": wanted.types,
        "step__in": wanted.steps,
        "disposition__in": wanted.dispositions,
        "event_id__in": wanted.ids,
        "happened_at__gte": wanted.since,
        "happened_at__lt": wanted.before,
        "document__written_at__gte": wanted.recorded_since,
        "document__written_at__lt": wanted.recorded_before,
    }
    rows = rows.filter(**{name: value for name, value in asked.items() if value})
    for things in (wanted.epcs, wanted.classes):
        rows = rows.filter(pk__in=_naming(things)) if things else rows
    return rows


def _naming(things: Collection[str]) -> QuerySet[CapturedThing, Any]:
    named = Q(pk=None)
    for thing in map(canonical, things):
        named |= Q(uri=thing) | Q(uri__startswith=f"{thing}/10/")
    return CapturedThing.objects.filter(named).values("event")
