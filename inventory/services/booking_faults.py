"""What keeps a delivery from being booked: all of it at once, each beside its field."""

from collections.abc import Iterator, Sequence

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import DomainError
from inventory.models import Delivery, DeliveryLine, Material
from inventory.queries.deliveries import earlier_receipts
from inventory.services.draft_refusals import Missing, NoteSeenBefore, TooWarm
from inventory.services.line_faults import faults_of_lines
from inventory.services.refusals import InTheFuture


def faults_of(draft: Delivery, lines: Sequence[DeliveryLine]) -> list[DomainError]:
    """Return all that is wrong with the draft; `lines` are all of its lines, in order.

    The field of a fault is one of the head's, or "lines[2].location": the third of the lines.
    """
    return [*_faults_of_head(draft, lines), *faults_of_lines(lines)]


def _faults_of_head(draft: Delivery, lines: Sequence[DeliveryLine]) -> Iterator[DomainError]:
    if not draft.note_number:
        yield Missing(what="The number of the delivery note", field="note_number")
    elif not draft.same_note_confirmed:
        yield from _note_seen_before(draft)
    if draft.arrived_at > now():
        yield InTheFuture(moment=on_the_wall(draft.arrived_at), field="arrived_at")
    if not draft.condition:
        yield Missing(what="What condition it arrived in", field="condition")
    elif draft.condition != Delivery.Condition.SOUND and not draft.condition_note:
        yield Missing(what="What was wrong, and what was done about it,", field="condition_note")
    yield from _warmth(draft, lines)
    if not lines:
        yield Missing(what="What was delivered", field="lines")


def _note_seen_before(draft: Delivery) -> Iterator[DomainError]:
    earlier = earlier_receipts(draft).first()
    if earlier:
        yield NoteSeenBefore(
            note=draft.note_number,
            supplier=draft.supplier,
            moment=on_the_wall(earlier.happened_at),
            person=earlier.actor.get_full_name() or earlier.actor.get_username(),
            field="same_note_confirmed",
        )


def _warmth(draft: Delivery, lines: Sequence[DeliveryLine]) -> Iterator[DomainError]:
    """The strictest of the chilled materials decides."""
    chilled = {line.material for line in lines if line.material.warmest_arrival_milli_c is not None}
    if not chilled:
        return
    strictest = min(chilled, key=_warmest)
    if draft.temperature_milli_c is None:
        yield Missing(what=f"The temperature on arrival, for {strictest},", field="temperature")
    elif draft.temperature_milli_c > _warmest(strictest) and not draft.condition_note:
        yield TooWarm(
            material=strictest,
            warmest=f"{_warmest(strictest) / 1000:g}",
            measured=f"{draft.temperature_milli_c / 1000:g}",
            field="condition_note",
        )


def _warmest(material: Material) -> int:
    return material.warmest_arrival_milli_c or 0
