"""Events of the record as EPCIS tells them: one of ours is one or several of theirs.

What leaves lots for good and makes others is one TransformationEvent, complete in itself: what a brew or run was given
is told when it is used up, so that what went back to the store is never told as used. What is drawn before is an
ObjectEvent of picking. A reversal tells what it reverses again, with an errorDeclaration (EPCIS 2.0, section 7.4.1).
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator

from django.db.models import Prefetch, QuerySet

from brewery.kernel.clock import brewery_zone
from brewery.science.units import MICRO
from inventory.models import Event, Location, Lot, Posting
from traceability.epcis.hashing import event_hash
from traceability.epcis.vocabulary import Json, context, moment, offset
from traceability.queries.epcis_names import Names
from traceability.queries.epcis_steps import PACKED, Told, told_of

Kind = Location.Kind
Way = tuple[Location, Location]
_UOM = {"kg": "KGM", "L": "LTR"}


def events_with_all() -> QuerySet[Event]:
    """Return the events of the record with all that is told of them: a few questions however many."""
    postings = Posting.objects.select_related(
        *("lot__material", "from_location__party", "to_location__party"),
        *("from_location__logistic_unit", "to_location__logistic_unit"),
    )
    related = ("delivery", "shipment", "customer_return")
    return Event.objects.select_related(
        *related, "reverses", *(f"reverses__{name}" for name in related)
    ).prefetch_related(Prefetch("postings", postings), Prefetch("reverses__postings", postings))


def told_events(events: Iterable[Event], names: Names) -> list[Json]:
    """Return what EPCIS tells of these events of the record, in their order."""
    return [told for event in events for told in events_of(event, names)]


def events_of(event: Event, names: Names) -> list[Json]:
    """Return what EPCIS tells of one event of the record, each with its hash as eventID and its record time."""
    subject = event.reverses or event
    declared = {}
    if event.reverses:
        declared = {"errorDeclaration": {"declarationTime": moment(event.recorded_at), "reason": "did_not_occur"}}
    return [_finished(body, event, declared) for body in _Teller(subject, names).bodies()]


def _finished(body: Json, event: Event, declared: Json) -> Json:
    named = {"eventID": event_hash(body, context()), "recordTime": moment(event.recorded_at)}
    return {"type": body["type"], **named, **{key: body[key] for key in body if key != "type"}, **declared}


class _Teller:
    """Tells one event of the record."""

    def __init__(self, event: Event, names: Names) -> None:
        self.event = event
        self.names = names
        at = event.happened_at.astimezone(brewery_zone())
        self.when = {"eventTime": moment(event.happened_at), "eventTimeZoneOffset": offset(at)}

    def bodies(self) -> Iterator[Json]:
        inputs: dict[Lot, int] = defaultdict(int)
        outputs: dict[Lot, int] = defaultdict(int)
        moves: dict[tuple[Way, int], dict[Lot, int]] = defaultdict(lambda: defaultdict(int))
        made_in: dict[int, Location] = {}
        for row in self.event.postings.all():
            if row.to_location.kind == Kind.TRANSFORMED:
                inputs[row.lot] += row.quantity_micro
            elif row.from_location.kind != Kind.TRANSFORMED:
                # What comes in is told lot by lot, since master data belongs to one lot.
                apart = row.lot_id if row.from_location.kind == Kind.SUPPLIER else 0
                moves[(row.from_location, row.to_location), apart][row.lot] += row.quantity_micro
            elif row.to_location.kind != Kind.LOSS:
                outputs[row.lot] += row.quantity_micro
                made_in[row.to_location_id] = row.to_location
        if inputs or outputs:
            yield self._transformation(inputs, outputs, list(made_in.values()))
        for (way, _), lots in moves.items():
            yield self._move(way, lots)

    def _transformation(self, inputs: dict[Lot, int], outputs: dict[Lot, int], places: list[Location]) -> Json:
        body: Json = {"type": "TransformationEvent", **self.when}
        if inputs:
            body["inputQuantityList"] = self._quantities(inputs)
        if outputs:
            body["outputQuantityList"] = self._quantities(outputs)
        if not (inputs and outputs):
            body["transformationID"] = self.names.own("event", str(self.event.pk))
        place = self.names.place(places[0]) if len(places) == 1 else self.names.site
        body |= {"bizStep": "commissioning", "disposition": "in_progress"}
        body |= {"readPoint": {"id": place}, "bizLocation": {"id": place}, **self._papers()}
        return body | self._master_data(outputs)

    def _move(self, way: Way, lots: dict[Lot, int]) -> Json:
        from_, to = way
        told = told_of(from_, to)
        body: Json = {"type": told.type, **self.when}
        body |= self._pallet(told, way, lots)
        body |= {"action": told.action, "bizStep": told.step}
        if told.disposition:
            body["disposition"] = told.disposition
        is_away = to.kind in (*Location.BOUNDARIES, Kind.PROCESS)
        body["readPoint"] = {"id": self.names.place(from_ if is_away else to)}
        if to.kind not in Location.BOUNDARIES:
            body["bizLocation"] = {"id": self.names.place(to)}
        body |= self._papers() | self._parties(told, way, lots)
        return body | (self._master_data(lots) if told.begins else {})

    def _pallet(self, told: Told, way: Way, lots: dict[Lot, int]) -> Json:
        unit = getattr(way[1] if told is PACKED else way[0], "logistic_unit", None)
        if unit and told.type == "AggregationEvent":
            return {"parentID": self.names.pallet(unit.sscc), "childQuantityList": self._quantities(lots)}
        whole = {"epcList": [self.names.pallet(unit.sscc)]} if unit and told.goes_out else {}
        return {**whole, "quantityList": self._quantities(lots)}

    def _quantities(self, lots: dict[Lot, int]) -> list[Json]:
        return [
            {"epcClass": self.names.lot(lot), "quantity": _number(micro), **_unit(lot)} for lot, micro in lots.items()
        ]

    def _papers(self) -> Json:
        """The event of the record, which keeps two like events apart, and the papers that went with it."""
        event, own = self.event, self.names.own
        papers = [(own("event", str(event.pk)), own("type", "event"))]
        if delivery := getattr(event, "delivery", None):
            papers.append((own("delivery", str(delivery.pk)), "recadv"))
        if shipment := getattr(event, "shipment", None):
            papers.append((own("delivery-note", shipment.note_number or str(event.pk)), "desadv"))
        if back := getattr(event, "customer_return", None):
            papers.append((own("return", str(back.pk)), "rma"))
        papers += [(own("work", code), "prodorder") for code in self._work()]
        return {"bizTransactionList": [{"bizTransaction": uri, "type": kind} for uri, kind in papers]}

    def _work(self) -> list[str]:
        """Return the brews and runs that something was given to, or taken from."""
        ways = [place for row in self.event.postings.all() for place in (row.from_location, row.to_location)]
        return sorted({place.code for place in ways if place.kind == Kind.PROCESS})

    def _parties(self, told: Told, way: Way, lots: dict[Lot, int]) -> Json:
        ours = self.names.brewery
        if told.comes_in and way[0].party:
            source, target = self.names.party(way[0].party), ours
        elif told.goes_out:
            other = way[1].party or next((lot.supplier for lot in lots if lot.supplier_id), None)
            source, target = ours, self.names.party(other) if other else ""
        else:
            return {}
        ends = {"sourceList": [{"source": source, "type": "possessing_party"}]}
        return ends | ({"destinationList": [{"destination": target, "type": "possessing_party"}]} if target else {})

    def _master_data(self, lots: dict[Lot, int]) -> Json:
        """Of one lot alone: how long it keeps, and the number by which whoever made it knows it."""
        if len(lots) != 1:
            return {}
        [lot] = lots
        data = {"cbvmda:lotNumber": lot.supplier_lot or lot.code}
        if lot.best_before:
            data["cbvmda:bestBeforeDate"] = lot.best_before.isoformat()
        return {"ilmd": data}


def _number(micro: int) -> int | float:
    return micro / MICRO if micro % MICRO else micro // MICRO


def _unit(lot: Lot) -> Json:
    """The unit in UN/CEFACT Recommendation 20; what is counted has none."""
    unit = _UOM.get(lot.material.base_unit)
    return {"uom": unit} if unit else {}
