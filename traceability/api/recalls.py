"""Recalls and mock recalls over the API: opened, shown as they stand, worked on, closed."""

from typing import Any, ClassVar

import django_filters
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, QuantityAnswer, TextField, quantity_of
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from inventory.api.codes import LotField
from inventory.api.parts import ReasonField
from traceability.api.holds import CountField
from traceability.models import Recall, RecallClass, RecallNote, RecallTask
from traceability.queries.asking import NAMES
from traceability.queries.recalls import CAUTION, AffectedCustomer, AffectedLot, Reconciled, recalls, view_of
from traceability.services.recalls import open_recall


class RecallAnswer(serializers.Serializer[Recall]):
    """One recall or drill: from which lots, which hazard, by whom; when it was closed, and how much reconciled then."""

    id = serializers.IntegerField()
    is_mock = serializers.BooleanField()
    hazard = serializers.CharField()
    lots = serializers.SerializerMethodField()
    follow = serializers.SerializerMethodField()
    made_from = serializers.DateTimeField(allow_null=True)
    made_until = serializers.DateTimeField(allow_null=True)
    drawn_from = serializers.IntegerField(allow_null=True)
    hold = serializers.IntegerField(source="hold_id", allow_null=True)
    opened_at = serializers.DateTimeField(source="written_at")
    opened_by = serializers.CharField(source="actor.username")
    closed_at = serializers.DateTimeField(source="closing.written_at", default=None, allow_null=True)
    closed_because = serializers.CharField(source="closing.reason", default=None, allow_null=True)

    @extend_schema_field(serializers.ListField(child=serializers.CharField()))
    def get_lots(self, recall: Recall) -> list[str]:
        return [subject.lot.code for subject in recall.subjects.all()]

    @extend_schema_field(serializers.ListField(child=serializers.ChoiceField(choices=list(NAMES))))
    def get_follow(self, recall: Recall) -> list[str]:
        return [name for name in NAMES if NAMES[name] in recall.kinds]


@extend_schema_field(QuantityAnswer)
class MicroField(serializers.Field[Any, Any, Any, Any]):
    """A quantity of the row's lot."""

    def __init__(self, name: str) -> None:
        super().__init__(source="*", read_only=True)
        self.name = name

    def to_representation(self, value: Any) -> dict[str, str]:
        """Return the quantity in the lot's unit."""
        return quantity_of(getattr(value, f"{self.name}_micro"), value.lot.material.base_unit)


class AffectedLotAnswer(serializers.Serializer[AffectedLot]):
    """One affected lot, and where every part of it is; `back` came back and is in another part by now."""

    lot = serializers.CharField(source="lot.code")
    material = serializers.CharField(source="lot.material.code")
    is_subject = serializers.BooleanField()
    made = MicroField("made")
    on_hand = MicroField("on_hand")
    in_transit = MicroField("in_transit")
    in_process = MicroField("in_process")
    in_tanks = MicroField("in_tanks")
    in_laboratory = MicroField("in_laboratory")
    at_customers = MicroField("at_customers")
    destroyed = MicroField("destroyed")
    lost = MicroField("lost")
    sent_back = MicroField("sent_back")
    went_on = MicroField("went_on")
    back = MicroField("back")
    unaccounted = MicroField("unaccounted")


class CustomerLotAnswer(serializers.Serializer[Any]):
    """One affected lot at one customer; `open` is what the customer has not answered for."""

    lot = serializers.CharField(source="lot.code")
    shipped = MicroField("shipped")
    back = MicroField("back")
    there = MicroField("there")
    holds = MicroField("holds")
    gone = MicroField("gone")
    open = MicroField("open")


class RecallContactAnswer(serializers.Serializer[Any]):
    """Whom to ring."""

    name = serializers.CharField()
    role = serializers.CharField()
    phone = serializers.CharField()
    email = serializers.CharField()
    is_reachable_at_night = serializers.BooleanField()


class AffectedCustomerAnswer(serializers.Serializer[AffectedCustomer]):
    """One customer that got some of it."""

    customer = serializers.CharField(source="customer.code")
    name = serializers.CharField(source="customer.name")
    contacts = RecallContactAnswer(many=True)
    is_reached = serializers.BooleanField()
    is_settled = serializers.BooleanField()
    lots = CustomerLotAnswer(many=True)


class ReconciledAnswer(serializers.Serializer[Reconciled]):
    """What was made and is accounted for in one unit; `percent` is cut, never rounded up."""

    unit = serializers.CharField()
    made = serializers.SerializerMethodField()
    accounted = serializers.SerializerMethodField()
    percent = serializers.CharField(source="percent_shown")

    def get_made(self, one: Reconciled) -> str:
        return quantity_of(one.made_micro, one.unit)["quantity"]

    def get_accounted(self, one: Reconciled) -> str:
        return quantity_of(one.accounted_micro, one.unit)["quantity"]


class RecallTaskAnswer(serializers.Serializer[RecallTask]):
    """One thing to be done."""

    id = serializers.IntegerField()
    words = serializers.CharField()
    done_at = serializers.DateTimeField(source="done.written_at", default=None, allow_null=True)


class RecallNoteAnswer(serializers.Serializer[RecallNote]):
    """One note."""

    id = serializers.IntegerField()
    text = serializers.CharField()
    written_at = serializers.DateTimeField()
    actor = serializers.CharField(source="actor.username")


class RecallClassAnswer(serializers.Serializer[RecallClass]):
    """How grave the hazard is, as people judged it."""

    id = serializers.IntegerField()
    value = serializers.ChoiceField(choices=RecallClass.Class.choices)
    reason = serializers.CharField()
    written_at = serializers.DateTimeField()
    actor = serializers.CharField(source="actor.username")


class RecallInFull(serializers.Serializer[Any]):
    """One recall as it stands now."""

    recall = RecallAnswer()
    caution = serializers.CharField()
    elapsed_seconds = CountField()
    classes = RecallClassAnswer(many=True)
    reconciled = ReconciledAnswer(many=True)
    lots = AffectedLotAnswer(many=True)
    customers = AffectedCustomerAnswer(many=True)
    tasks = RecallTaskAnswer(many=True)
    notes = RecallNoteAnswer(many=True)
    open_points = serializers.ListField(child=serializers.CharField())


class RecallAsked(serializers.Serializer[Any]):
    """From which lots, for which hazard, in earnest or as a drill; over which links, and made when."""

    lots = serializers.ListField(child=LotField(), max_length=100)
    hazard = ReasonField()
    is_mock = serializers.BooleanField()
    follow = serializers.ListField(
        child=TextField(max_length=20), max_length=len(NAMES), required=False, default=lambda: list(NAMES)
    )
    made_from = MomentField(required=False, default=None, allow_null=True)
    made_until = MomentField(required=False, default=None, allow_null=True)


class RecallFilters(django_filters.FilterSet):
    """Narrows the list of recalls."""

    is_mock = django_filters.BooleanFilter()
    is_open = django_filters.BooleanFilter(field_name="closing", lookup_expr="isnull")

    class Meta:
        model = Recall
        fields: tuple[str, ...] = ()


class Recalls(RecordList, Recording[Recall]):
    """Recalls and drills, the newest first; POST opens one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.DECIDE}
    queryset = recalls()
    serializer_class = answered = RecallAnswer
    asked = RecallAsked
    filterset_class = RecallFilters

    def record(self, **asked: Any) -> Recall:
        """Open it."""
        return open_recall(**asked)

    def in_full(self, made: Recall) -> Recall:
        """Return it with its lots."""
        return recalls().get(pk=made.pk)


class OneRecall(RecordDetail):
    """One recall as it stands now: what is affected, where it is, whom to ring, what is open."""

    queryset = recalls()
    serializer_class = RecallInFull
    lookup_field = "pk"
    thing = "recall"

    def retrieve(self, request: Any, *args: Any, **kwargs: Any) -> Response:
        """Answer it."""
        view = view_of(self.get_object())
        recall = view.recall
        answer = {
            "recall": recall,
            "caution": CAUTION,
            "elapsed_seconds": int(view.elapsed.total_seconds()),
            "classes": recall.classes.select_related("actor"),
            "reconciled": view.reconciled,
            "lots": view.lots,
            "customers": view.customers,
            "tasks": recall.tasks.select_related("done"),
            "notes": recall.notes.select_related("actor"),
            "open_points": view.open_points,
        }
        return Response(RecallInFull(answer).data)
