"""What is done in a recall, over the API: its class, customers reached, notes, tasks, and its end."""

from typing import Any, ClassVar

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import NamedQuantityOrNothing, TextField, refuse_other_unit
from brewery.kernel.api.views import Recording
from inventory.api.codes import LotField, PartyField
from inventory.api.parts import ReasonField
from inventory.models import Party
from traceability.api.holds import CountField
from traceability.api.recalls import RecallClassAnswer, RecallNoteAnswer, RecallTaskAnswer
from traceability.models import Recall, RecallCheck, RecallClass, RecallClosing, RecallNote, RecallTask, RecallTaskDone
from traceability.services.recalls import (
    ToldLot,
    add_task,
    check_customer,
    close_recall,
    decide_class,
    finish_task,
    write_note,
)

NUMBER = serializers.IntegerField(min_value=1, max_value=2**63 - 1)


@extend_schema_field({"type": "integer", "minimum": 1})
class RecallField(serializers.PrimaryKeyRelatedField[Recall]):
    """A recall by its number."""

    default_error_messages = {"does_not_exist": "There is no recall of this number: look it up in the list."}

    def __init__(self, **options: Any) -> None:
        super().__init__(pk_field=NUMBER, **options)

    def get_queryset(self) -> QuerySet[Recall]:
        """Return all of them."""
        return Recall.objects.all()


@extend_schema_field({"type": "integer", "minimum": 1})
class RecallTaskField(serializers.PrimaryKeyRelatedField[RecallTask]):
    """A task by its number."""

    default_error_messages = {"does_not_exist": "There is no task of this number: look at the recall."}

    def __init__(self, **options: Any) -> None:
        super().__init__(pk_field=NUMBER, **options)

    def get_queryset(self) -> QuerySet[RecallTask]:
        """Return all of them."""
        return RecallTask.objects.select_related("recall")


class RecallClassAsked(serializers.Serializer[Any]):
    """Of which class the hazard is, and why."""

    recall = RecallField()
    value = serializers.ChoiceField(choices=RecallClass.Class.choices)
    reason = ReasonField()


class RecallClasses(Recording[RecallClass]):
    """POST: decide the class of the hazard."""

    right: ClassVar[Right] = Right.DECIDE
    asked = RecallClassAsked
    answered = RecallClassAnswer

    def record(self, **asked: Any) -> RecallClass:
        """Decide it."""
        return decide_class(**asked)


class ToldLotAsked(serializers.Serializer[Any]):
    """What a customer said of one lot: what it holds, and what is sold or used up."""

    lot = LotField()
    holds = NamedQuantityOrNothing()
    gone = NamedQuantityOrNothing()

    def validate(self, attrs: dict[str, Any]) -> Any:
        """Return a ToldLot. Raises ValidationError where a unit does not measure the lot."""
        for name in ("holds", "gone"):
            refuse_other_unit(attrs[name], attrs["lot"].material.base_unit)
        return ToldLot(attrs["lot"], attrs["holds"].micro, attrs["gone"].micro)


class RecallCheckAsked(serializers.Serializer[Any]):
    """Whether a customer was reached, who it was, and what it said."""

    recall = RecallField()
    customer = PartyField(role=Party.Role.CUSTOMER)
    is_reached = serializers.BooleanField()
    spoke_with = TextField(max_length=120, required=False, allow_blank=True, default="")
    note = ReasonField()
    lots = ToldLotAsked(many=True, required=False, default=list)


class RecallCheckAnswer(serializers.Serializer[RecallCheck]):
    """One attempt to reach a customer."""

    id = serializers.IntegerField()
    customer = serializers.CharField(source="customer.code")
    is_reached = serializers.BooleanField()
    spoke_with = serializers.CharField()
    note = serializers.CharField()
    written_at = serializers.DateTimeField()
    actor = serializers.CharField(source="actor.username")


class RecallChecks(Recording[RecallCheck]):
    """POST: an attempt to reach a customer, and what it said."""

    right: ClassVar[Right] = Right.DECIDE
    asked = RecallCheckAsked
    answered = RecallCheckAnswer

    def record(self, **asked: Any) -> RecallCheck:
        """Record it."""
        return check_customer(**asked)


class RecallNoteAsked(serializers.Serializer[Any]):
    """A note on a recall."""

    recall = RecallField()
    text = ReasonField()


class RecallNotes(Recording[RecallNote]):
    """POST: a note on a recall."""

    right: ClassVar[Right] = Right.DECIDE
    asked = RecallNoteAsked
    answered = RecallNoteAnswer

    def record(self, **asked: Any) -> RecallNote:
        """Write it."""
        return write_note(**asked)


class RecallTaskAsked(serializers.Serializer[Any]):
    """A thing to be done."""

    recall = RecallField()
    words = TextField(max_length=200)


class RecallTasks(Recording[RecallTask]):
    """POST: a thing to be done."""

    right: ClassVar[Right] = Right.DECIDE
    asked = RecallTaskAsked
    answered = RecallTaskAnswer

    def record(self, **asked: Any) -> RecallTask:
        """Add it."""
        return add_task(**asked)


class RecallTaskDoneAsked(serializers.Serializer[Any]):
    """Which task is done."""

    task = RecallTaskField()
    note = ReasonField()


class RecallTaskDoneAnswer(serializers.Serializer[RecallTaskDone]):
    """One task that is done."""

    id = serializers.IntegerField()
    task = serializers.IntegerField(source="task_id")
    note = serializers.CharField()
    written_at = serializers.DateTimeField()


class RecallTaskEnds(Recording[RecallTaskDone]):
    """POST: a task is done."""

    right: ClassVar[Right] = Right.DECIDE
    asked = RecallTaskDoneAsked
    answered = RecallTaskDoneAnswer

    def record(self, **asked: Any) -> RecallTaskDone:
        """Record it."""
        return finish_task(**asked)


class RecallClosingAsked(serializers.Serializer[Any]):
    """Which recall is over; why, where something is still open."""

    recall = RecallField()
    reason = ReasonField()


class RecallClosingAnswer(serializers.Serializer[RecallClosing]):
    """How a recall ended: what was open, and how the worst unit reconciled."""

    id = serializers.IntegerField()
    recall = serializers.IntegerField(source="recall_id")
    reason = serializers.CharField()
    open_points = serializers.ListField(child=serializers.CharField())
    lots = CountField()
    closed_at = serializers.DateTimeField(source="written_at")


class RecallClosings(Recording[RecallClosing]):
    """POST: close a recall."""

    right: ClassVar[Right] = Right.DECIDE
    asked = RecallClosingAsked
    answered = RecallClosingAnswer

    def record(self, **asked: Any) -> RecallClosing:
        """Close it."""
        return close_recall(**asked)
