"""Taking in what suppliers and customers tell by EPCIS: all of a document or nothing, and nothing of it in the ledger.

The same event sent again is the same event; the same eventID with other content is refused (EPCIS 2.0, section 7.4.1).
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from brewery.kernel.clock import now
from brewery.kernel.database.sets import AT_ONCE, portions
from brewery.kernel.errors import DomainError, SeveralInvalid
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Party
from traceability.epcis.checking import faults_of
from traceability.epcis.faults import Fault
from traceability.epcis.hashing import event_hash
from traceability.epcis.identifiers import canonical, lot_named_by
from traceability.epcis.rules import EVENTS, doubts_of, named_in
from traceability.epcis.vocabulary import Json, bare
from traceability.models import CapturedDocument, CapturedEvent, CapturedThing


class WrongDocument(DomainError):
    code = "wrong_document"
    status = 400
    title = "The document is not as the standard has it."
    template = "{field_name}: {told}"


class EventIdReused(DomainError):
    code = "event_id_reused"
    title = "This eventID stands for another event."
    template = "Event {event_id} is on record with other content: {party} sent it in document {document}."
    advice = "Ask the sender for an eventID of its own, or for an errorDeclaration of the first."


class EventIdTwice(DomainError):
    code = "event_id_reused"
    title = "This eventID stands for another event."
    template = "Event {event_id} is in this document twice, with other content each time."
    advice = "Ask the sender for an eventID of its own for each."


def capture_document(*, document: Any, party: Party, actor: User, request_id: UUID) -> CapturedDocument:
    """Every event of the document is on record under its eventID, or under its hash where it has none.

    Raises SeveralInvalid with each fault by its path; EventIdReused, EventIdTwice.
    """
    faults = faults_of(document)
    if faults:
        raise SeveralInvalid([_refused(fault) for fault in faults])
    return _capture(document=document, party=party, actor=actor, request_id=request_id)


def _refused(fault: Fault) -> WrongDocument:
    shown = f"{fault.shown} is not accepted. " if fault.shown else ""
    return WrongDocument(field=fault.field, field_name=fault.field, told=shown + fault.advice)


@dataclass(frozen=True)
class _Sent:
    """One event of a document, with what tells it from others."""

    place: int
    content: Json
    hash: str

    @property
    def event_id(self) -> str:
        return str(self.content.get("eventID") or self.hash)

    @property
    def key(self) -> tuple[str, bool]:
        return self.event_id, "errorDeclaration" in self.content

    @property
    def field(self) -> str:
        return Fault((*EVENTS, self.place, "eventID"), None, "").field

    @property
    def digest(self) -> str:
        """The digest of its hash and its declaration: the same content written otherwise has the same."""
        told = json.dumps([self.hash, self.content.get("errorDeclaration")], sort_keys=True)
        return hashlib.sha256(told.encode()).hexdigest()


@once("capture_epcis", returns=CapturedDocument)
def _capture(*, document: Json, party: Party, actor: User, request_id: UUID) -> CapturedDocument:
    sent = _each_once(_sent(document))
    known = _known(row.event_id for row in sent)
    for row in sent:
        _refuse_other_content(row, known)
    fresh = [row for row in sent if row.key not in known]
    kept = CapturedDocument.objects.create(
        party=party,
        known_events=len(sent) - len(fresh),
        doubts=[{"field": doubt.field, "detail": doubt.advice} for doubt in doubts_of(document)],
        written_at=now(),
        actor=actor,
        request_id=request_id,
    )
    events = CapturedEvent.objects.bulk_create([_row(row, kept) for row in fresh], batch_size=AT_ONCE)
    things = [
        CapturedThing(event=event, uri=canonical(uri), part=part, lot=lot_named_by(uri))
        for event in events
        for _, uri, part in named_in(event.content)
    ]
    CapturedThing.objects.bulk_create(things, batch_size=AT_ONCE)
    return kept


def _sent(document: Json) -> list[_Sent]:
    context = document["@context"]
    return [
        _Sent(place, event, event_hash(event, context))
        for place, event in enumerate(document["epcisBody"]["eventList"])
    ]


def _each_once(sent: list[_Sent]) -> list[_Sent]:
    found: dict[tuple[str, bool], _Sent] = {}
    for row in sent:
        first = found.setdefault(row.key, row)
        if first.digest != row.digest:
            raise EventIdTwice(event_id=row.event_id, field=row.field)
    return list(found.values())


def _known(ids: Iterable[str]) -> dict[tuple[str, bool], CapturedEvent]:
    rows = (
        row
        for portion in portions(ids)
        for row in CapturedEvent.objects.filter(event_id__in=portion).select_related("document__party")
    )
    return {(row.event_id, row.is_error): row for row in rows}


def _refuse_other_content(row: _Sent, known: Mapping[tuple[str, bool], CapturedEvent]) -> None:
    """Refuse what is on record otherwise, and a declaration of an error that tells the event itself otherwise."""
    same, other = known.get(row.key), known.get((row.event_id, not row.key[1]))
    if same and same.digest != row.digest:
        raise _reused(row, same)
    if other and other.hash != row.hash:
        raise _reused(row, other)


def _reused(row: _Sent, kept: CapturedEvent) -> EventIdReused:
    return EventIdReused(event_id=row.event_id, party=kept.document.party, document=kept.document_id, field=row.field)


def _row(row: _Sent, document: CapturedDocument) -> CapturedEvent:
    content = row.content
    return CapturedEvent(
        document=document,
        event_id=row.event_id,
        is_error=row.key[1],
        type=content["type"],
        happened_at=datetime.fromisoformat(content["eventTime"].upper()),
        step=bare(content.get("bizStep", "")),
        disposition=bare(content.get("disposition", "")),
        digest=row.digest,
        hash=row.hash,
        content=content,
    )
