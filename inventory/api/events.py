"""Events: what happened, and the answer to every request that records something in the ledger."""

from typing import Any, ClassVar

import django_filters
from django.db.models import Q, QuerySet
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import BASE_UNITS, QuantityShown, quantity_of
from brewery.kernel.api.filters import CodeFilter, MomentFilter
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from inventory.models import Event, Link, Lot, Posting
from inventory.queries.events import events_in_brief, events_in_full

LINK_KINDS = [kind.label for kind in Link.Kind]


class PostingAnswer(serializers.Serializer[Posting]):
    """A quantity of a lot that went from one location to another."""

    lot = serializers.CharField()
    from_location = serializers.CharField()
    to_location = serializers.CharField()
    quantity = serializers.CharField()
    unit = serializers.ChoiceField(choices=BASE_UNITS)

    def to_representation(self, posting: Posting) -> dict[str, Any]:
        """Return the posting as answers show it."""
        return {
            "lot": posting.lot.code,
            "from_location": posting.from_location.code,
            "to_location": posting.to_location.code,
            **quantity_of(posting.quantity_micro, posting.lot.material.base_unit),
        }


class LinkAnswer(serializers.Serializer[Link]):
    """How much of the parent went across into the child, and how it connects."""

    parent = serializers.CharField(source="parent.code")  # type: ignore[assignment]
    child = serializers.CharField(source="child.code")
    kind = serializers.ChoiceField(source="get_kind_display", choices=LINK_KINDS)
    went_across = QuantityShown("quantity_micro", "parent.material.base_unit")


class MadeLotAnswer(serializers.Serializer[Lot]):
    """A lot that the event made, and what it made it with."""

    code = serializers.CharField()
    material = serializers.CharField(source="material.code")
    made = QuantityShown("made_micro", "material.base_unit")


class EventAnswer(serializers.Serializer[Event]):
    """One event. `request_id` is the key under which it was asked for; several events may share it."""

    id = serializers.IntegerField()
    kind = serializers.ChoiceField(choices=Event.Kind.choices)
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    actor = serializers.CharField(source="actor.username")
    request_id = serializers.UUIDField()
    reference = serializers.CharField()
    reason = serializers.CharField()
    override_reason = serializers.CharField()
    reverses = serializers.IntegerField(source="reverses_id", allow_null=True)
    reversed_by = serializers.SerializerMethodField()

    def get_reversed_by(self, event: Event) -> int | None:
        return event.reversed_by.pk if hasattr(event, "reversed_by") else None


class EventInFull(EventAnswer):
    """One event with what moved, which lots it made, and what became part of what."""

    postings = PostingAnswer(many=True)
    links = LinkAnswer(many=True)
    made_lots = MadeLotAnswer(many=True)


class EventFilters(django_filters.FilterSet):
    """Narrows the list of events. `happened_before` itself is not included, `happened_from` is."""

    kind = django_filters.ChoiceFilter(choices=Event.Kind.choices)
    happened_from = MomentFilter(field_name="happened_at", lookup_expr="gte")
    happened_before = MomentFilter(field_name="happened_at", lookup_expr="lt")
    lot = CodeFilter(method="with_lot")
    location = CodeFilter(method="with_location")
    reference = CodeFilter(field_name="reference")
    request_id = django_filters.UUIDFilter(field_name="request")

    class Meta:
        model = Event
        fields: tuple[str, ...] = ()

    def with_lot(self, events: QuerySet[Event], name: str, code: str) -> QuerySet[Event]:
        """Return the events in which something of the lot moved."""
        return events.filter(pk__in=Posting.objects.filter(lot__code=code).values("event"))

    def with_location(self, events: QuerySet[Event], name: str, code: str) -> QuerySet[Event]:
        """Return the events in which something left the location or came to it."""
        either = Q(from_location__code=code) | Q(to_location__code=code)
        return events.filter(pk__in=Posting.objects.filter(either).values("event"))


class Events(RecordList):
    """Events, the last recorded first, without what moved."""

    queryset = events_in_brief()
    serializer_class = EventAnswer
    filterset_class = EventFilters


class OneEvent(RecordDetail):
    """One event by its number, with what moved, which lots it made, and what became part of what."""

    queryset = events_in_full()
    serializer_class = EventInFull
    thing: ClassVar[str] = "event"


class LedgerRecording(Recording[Event]):
    """POST: record an event; the answer is the event in full."""

    right: ClassVar[Right]
    answered = EventInFull

    def in_full(self, made: Event) -> Event:
        """Return the event with all that moved."""
        return events_in_full().get(pk=made.pk)
