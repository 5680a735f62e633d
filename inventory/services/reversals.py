"""Reversals: a mistake is put right by an event that names it; nothing is ever edited or deleted."""

from uuid import UUID

from brewery.kernel.clock import on_the_wall
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Event, Link, Lot, Posting
from inventory.services.posting import Recording, recording
from inventory.services.refusals import AlreadyReversed, NotReversible, OutputInUse, ReasonMissing


@once("reverse_event", returns=Event)
def reverse_event(*, event: Event, reason: str, actor: User, request_id: UUID) -> Event:
    """The event's postings are mirrored, its links and the lots it made no longer count.

    The reversal carries the time of the mistake, so at any past moment the two cancel; when it was recorded says when
    it was found out. Raises ReasonMissing, NotReversible, AlreadyReversed, OutputInUse, and the ledger's refusals.
    """
    if not reason:
        raise ReasonMissing(what="A reversal", field="reason")
    if event.kind == Event.Kind.REVERSE:
        raise NotReversible(event=event.pk, field="event")
    postings = list(Posting.objects.filter(event=event).select_related("lot__material", "from_location", "to_location"))
    made = set(Lot.objects.filter(made_by=event).values_list("pk", flat=True))
    # Two who reverse the same event take turns, so that the second is told and not thrown out by the database.
    list(Event.objects.filter(pk=event.pk).select_for_update())
    with recording(
        Event.Kind.REVERSE,
        actor=actor,
        request_id=request_id,
        happened_at=event.happened_at,
        uses=[posting.lot for posting in postings],
        reason=reason,
        reverses=_not_reversed(event),
    ) as record:
        _refuse_output_in_use(event, made)
        for posting in postings:
            record.post(
                record.lot(posting.lot),
                from_=posting.to_location,
                to=posting.from_location,
                quantity_micro=posting.quantity_micro,
            )
    _mark(record, event, made)
    return record.event


def _not_reversed(event: Event) -> Event:
    earlier = Event.objects.filter(reverses=event).first()
    if earlier:
        raise AlreadyReversed(
            event=event.get_kind_display(),
            moment=on_the_wall(event.happened_at),
            reversed_moment=on_the_wall(earlier.recorded_at),
            field="event",
        )
    return event


def _refuse_output_in_use(event: Event, made: set[int]) -> None:
    """Raise OutputInUse where a lot that the event made has gone on: moved, used, counted, sampled."""
    later = Posting.objects.filter(lot__in=made, event__reversed_by=None).exclude(event=event)
    later = later.exclude(event__kind=Event.Kind.REVERSE).select_related("event", "lot").order_by("event__happened_at")
    first = later.first()
    if first:
        raise OutputInUse(
            event=event.get_kind_display(),
            moment=on_the_wall(event.happened_at),
            lot=first.lot.code,
            later=first.event.get_kind_display(),
            later_moment=on_the_wall(first.event.happened_at),
            field="event",
        )


def _mark(record: Recording, event: Event, made: set[int]) -> None:
    Link.objects.filter(event=event).update(reversed_by=record.event)
    Lot.objects.filter(pk__in=made).update(reversed_by=record.event)
