"""Recalls and mock recalls: opened, judged, worked on, closed once all is settled or a reason stands."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from brewery.kernel.clock import now
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Lot, Party
from inventory.services.alert_bells import Bell, ring_for_alerts
from inventory.services.refusals import MadeByMistake, ReasonMissing
from inventory.services.stock import refuse_no_lines
from traceability.models import (
    Recall,
    RecallCheck,
    RecallCheckLot,
    RecallClass,
    RecallClosing,
    RecallNote,
    RecallSubject,
    RecallTask,
    RecallTaskDone,
)
from traceability.models.follows import following
from traceability.queries.asking import NAMES
from traceability.queries.recalls import view_of
from traceability.services.holds import kinds_named, write_hold

FIRST_TASKS = (
    "Ask the local authorities and a licensed adviser what must be told, to whom and by when",
    "Judge the hazard to health and decide its class",
    "Set apart what is on hand",
)
"""What every recall begins with: common practice, no source."""


class RecallClosed(DomainError):
    code = "recall_closed"
    title = "The recall is closed."
    template = "{recall} was closed already."
    advice = "Open another if more has to be done."


class RecallStillOpen(DomainError):
    code = "recall_still_open"
    title = "Not everything is settled."
    template = "{recall} cannot be closed without a reason: {points}"
    advice = "Settle it, or give the reason why it is closed all the same."


@dataclass(frozen=True)
class ToldLot:
    """What a customer said of one lot, in its micro-units: what it holds, and what is sold or used up."""

    lot: Lot
    holds_micro: int
    gone_micro: int


@once("open_recall", returns=Recall)
def open_recall(
    *,
    lots: Sequence[Lot],
    hazard: str,
    is_mock: bool,
    actor: User,
    request_id: UUID,
    follow: Sequence[str] = tuple(NAMES),
    made_from: datetime | None = None,
    made_until: datetime | None = None,
) -> Recall:
    """The recall is open; a real one holds the lots and all that comes of them, a mock one holds nothing.

    Raises NothingToDo, ReasonMissing, InvalidInput, MadeByMistake.
    """
    return write_recall(
        lots=lots,
        hazard=hazard,
        is_mock=is_mock,
        follow=follow,
        made_from=made_from,
        made_until=made_until,
        actor=actor,
        request_id=request_id,
    )


def write_recall(
    *,
    lots: Sequence[Lot],
    hazard: str,
    is_mock: bool,
    actor: User,
    request_id: UUID,
    follow: Sequence[str] = tuple(NAMES),
    made_from: datetime | None = None,
    made_until: datetime | None = None,
    drawn_from: int | None = None,
) -> Recall:
    """As `open_recall`, within the caller's transaction and request; `drawn_from` as the recall has it."""
    refuse_no_lines(lots, "The recall")
    if not hazard:
        raise ReasonMissing(what="A recall", field="hazard")
    if made_from and made_until and made_from > made_until:
        raise InvalidInput(field="made_until", value=made_until.isoformat(), problem="Give a time after the first.")
    kinds = kinds_named(follow)
    for lot in lots:
        if lot.reversed_by_id:
            raise MadeByMistake(lot=lot.code, field="lots")
    by = _by(actor, request_id)
    why = f"Recall: {hazard}"
    hold = None if is_mock else write_hold(lots=lots, kinds=kinds, reason=why, actor=actor, request_id=request_id)
    recall = Recall.objects.create(
        is_mock=is_mock,
        hazard=hazard,
        made_from=made_from,
        made_until=made_until,
        drawn_from=drawn_from,
        hold=hold,
        **following(kinds),
        **by,
    )
    subjects = {lot.pk: lot for lot in lots}.values()
    RecallSubject.objects.bulk_create([RecallSubject(recall=recall, lot=lot) for lot in subjects])
    RecallTask.objects.bulk_create([RecallTask(recall=recall, words=words, **by) for words in FIRST_TASKS])
    ring_for_alerts(Bell.RECALL)
    return recall


@once("decide_recall_class", returns=RecallClass)
def decide_class(*, recall: Recall, value: str, reason: str, actor: User, request_id: UUID) -> RecallClass:
    """The hazard is of this class from now on. Raises RecallClosed, ReasonMissing, InvalidInput."""
    _locked_open(recall)
    if value not in RecallClass.Class.values:
        raise InvalidInput(field="value", value=value, problem=f"Choose one of: {', '.join(RecallClass.Class.values)}.")
    if not reason:
        raise ReasonMissing(what="The class of a recall", field="reason")
    return RecallClass.objects.create(recall=recall, value=value, reason=reason, **_by(actor, request_id))


@once("check_customer_in_recall", returns=RecallCheck)
def check_customer(
    *,
    recall: Recall,
    customer: Party,
    is_reached: bool,
    actor: User,
    request_id: UUID,
    spoke_with: str = "",
    note: str = "",
    lots: Sequence[ToldLot] = (),
) -> RecallCheck:
    """An attempt to reach the customer is on record, with what it said. Raises RecallClosed, InvalidInput."""
    _locked_open(recall)
    if is_reached and not spoke_with:
        raise InvalidInput(field="spoke_with", value="", problem="Say who was spoken to.")
    for told in lots:
        if min(told.holds_micro, told.gone_micro) < 0:
            raise InvalidInput(field="lots", value=told.lot.code, problem="Give quantities of nothing or more.")
    check = RecallCheck.objects.create(
        recall=recall,
        customer=customer,
        is_reached=is_reached,
        spoke_with=spoke_with,
        note=note,
        **_by(actor, request_id),
    )
    rows = {told.lot.pk: told for told in lots}.values()
    RecallCheckLot.objects.bulk_create(
        RecallCheckLot(check_made=check, lot=one.lot, holds_micro=one.holds_micro, gone_micro=one.gone_micro)
        for one in rows
    )
    return check


@once("note_on_recall", returns=RecallNote)
def write_note(*, recall: Recall, text: str, actor: User, request_id: UUID) -> RecallNote:
    """The note is on record; a closed recall takes notes too. Raises ReasonMissing."""
    if not text:
        raise ReasonMissing(what="A note", field="text")
    return RecallNote.objects.create(recall=recall, text=text, **_by(actor, request_id))


@once("add_recall_task", returns=RecallTask)
def add_task(*, recall: Recall, words: str, actor: User, request_id: UUID) -> RecallTask:
    """The task is to be done. Raises RecallClosed, ReasonMissing."""
    _locked_open(recall)
    if not words:
        raise ReasonMissing(what="A task", field="words")
    return RecallTask.objects.create(recall=recall, words=words, **_by(actor, request_id))


@once("finish_recall_task", returns=RecallTaskDone)
def finish_task(*, task: RecallTask, actor: User, request_id: UUID, note: str = "") -> RecallTaskDone:
    """The task is done. Raises RecallClosed, InvalidInput where it was done before."""
    _locked_open(task.recall)
    if RecallTaskDone.objects.filter(task=task).exists():
        raise InvalidInput(field="task", value=task.pk, problem="It is done already.")
    return RecallTaskDone.objects.create(task=task, note=note, **_by(actor, request_id))


@once("close_recall", returns=RecallClosing)
def close_recall(*, recall: Recall, actor: User, request_id: UUID, reason: str = "") -> RecallClosing:
    """The recall is over, with how it reconciled and what was open on record. Its hold stays until it is released.

    Raises RecallClosed; RecallStillOpen where something is open and no reason is given.
    """
    view = view_of(_locked_open(recall))
    points = view.open_points
    if points and not reason:
        raise RecallStillOpen(recall=str(recall).capitalize(), points=" ".join(points), field="reason")
    worst = view.reconciled[0]
    ring_for_alerts(Bell.RECALL)
    return RecallClosing.objects.create(
        recall=recall,
        reason=reason,
        open_points=points,
        lots=len(view.lots),
        unit=worst.unit,
        made_micro=worst.made_micro,
        accounted_micro=worst.accounted_micro,
        **_by(actor, request_id),
    )


def _locked_open(recall: Recall) -> Recall:
    """Return the recall, locked, so that nothing is written while it is being closed. Raises RecallClosed."""
    locked = Recall.objects.select_for_update(of=("self",)).get(pk=recall.pk)
    if RecallClosing.objects.filter(recall=locked).exists():
        raise RecallClosed(recall=str(recall).capitalize(), field="recall")
    return locked


def _by(actor: User, request_id: UUID) -> dict[str, Any]:
    return {"written_at": now(), "actor": actor, "request_id": request_id}
