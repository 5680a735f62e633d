"""What came back from customers and waits for a decision, and what becomes of it."""

from typing import Any, ClassVar

import django_filters
from django.db.models import QuerySet
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, QuantityShown
from brewery.kernel.api.filters import MomentFilter
from brewery.kernel.api.views import Recording, RecordList
from brewery.kernel.errors import NotFound
from brewery.production.api.volumes import volume
from brewery.production.models import CustomerReturn, ReturnOutcome
from brewery.production.queries.returned import lines_of, returns_in_full
from brewery.production.services.customer_orders import MOST_OF_ONE
from brewery.production.services.return_outcomes import destroy_returned, restock_returned, rework_returned
from brewery.science.units import BaseUnit
from inventory.api.codes import LotField, MaterialField, PlaceField
from inventory.api.parts import NewCodeField, ReasonField


class OutcomeAnswer(serializers.Serializer[ReturnOutcome]):
    """What became of so many; `beer` is what was still in them, where somebody measured it."""

    id = serializers.IntegerField()
    customer_return = serializers.IntegerField(source="customer_return_id")
    lot = serializers.CharField(source="lot.code")
    location = serializers.CharField(source="location.code")
    kind = serializers.ChoiceField(choices=ReturnOutcome.Kind.choices)
    count = serializers.IntegerField()
    beer = QuantityShown("beer_micro", BaseUnit.L, allow_null=True)
    event = serializers.IntegerField(source="event_id")


class ReturnedLineAnswer(serializers.Serializer[Any]):
    """So many of one lot that came back into one place, and how many of them nobody has decided on."""

    lot = serializers.CharField(source="lot.code")
    location = serializers.CharField(source="location.code")
    count = serializers.IntegerField()
    undecided = serializers.IntegerField()


class ReturnAnswer(serializers.Serializer[CustomerReturn]):
    """One return: what came back, why, and what became of it."""

    id = serializers.IntegerField()
    event = serializers.IntegerField(source="event_id")
    cause = serializers.ChoiceField(choices=CustomerReturn.Cause.choices)
    reason = serializers.CharField(source="event.reason")
    happened_at = serializers.DateTimeField(source="event.happened_at")
    lines = serializers.SerializerMethodField()
    outcomes = OutcomeAnswer(many=True)

    def get_lines(self, back: CustomerReturn) -> list[dict[str, Any]]:
        return [dict(ReturnedLineAnswer(line).data) for line in lines_of(back)]


class ReturnFilters(django_filters.FilterSet):
    """Narrows the list of returns. `happened_from` itself is included, `happened_before` is not."""

    cause = django_filters.ChoiceFilter(choices=CustomerReturn.Cause.choices)
    happened_from = MomentFilter(field_name="event__happened_at", lookup_expr="gte")
    happened_before = MomentFilter(field_name="event__happened_at", lookup_expr="lt")

    class Meta:
        model = CustomerReturn
        fields: tuple[str, ...] = ()


class Returned(RecordList):
    """Returns that were not reversed, the last recorded first."""

    queryset: QuerySet[CustomerReturn] = returns_in_full()
    serializer_class = ReturnAnswer
    filterset_class = ReturnFilters


class OutcomeAsked(serializers.Serializer[Any]):
    """So many of a lot of the return, where they lie, and why."""

    happened_at = MomentField()
    lot = LotField()
    location = PlaceField()
    count = serializers.IntegerField(min_value=1, max_value=MOST_OF_ONE)
    reason = ReasonField()


class OutcomeRecording(Recording[ReturnOutcome]):
    """POST to a return that the address names; the answer is what became of it."""

    right: ClassVar[Right]
    answered = OutcomeAnswer

    def customer_return(self) -> CustomerReturn:
        """Return the return that the address names. Raises NotFound."""
        found = CustomerReturn.objects.filter(pk=self.kwargs["pk"]).first()
        if found is None:
            raise NotFound(thing="return", code=str(self.kwargs["pk"]))
        return found


class RestockAsked(OutcomeAsked):
    """What goes back in stock, and into which store."""

    to_location = PlaceField()


class ReturnRestocks(OutcomeRecording):
    """POST: so many go back in stock."""

    right: ClassVar[Right] = Right.DISPATCH
    asked = RestockAsked

    def record(self, **asked: Any) -> ReturnOutcome:
        """Put it back in stock."""
        return restock_returned(customer_return=self.customer_return(), **asked)


class DestroyAsked(OutcomeAsked):
    """What is destroyed, and the beer that was in it where it was measured."""

    beer = volume(required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read, with `beer_micro`."""
        beer = attrs.pop("beer", None)
        return {**attrs, "beer_micro": beer.micro if beer else None}


class ReturnDestructions(OutcomeRecording):
    """POST: so many are destroyed."""

    right: ClassVar[Right] = Right.DESTROY
    asked = DestroyAsked

    def record(self, **asked: Any) -> ReturnOutcome:
        """Destroy it."""
        return destroy_returned(customer_return=self.customer_return(), **asked)


class ReworkAsked(OutcomeAsked):
    """What is tipped into a tank: the beer that goes in, the code of the new contents, for an empty tank the beer."""

    vessel = PlaceField()
    beer = volume()
    contents_code = NewCodeField()
    material = MaterialField(required=False, allow_null=True, default=None)
    override_reason = ReasonField()

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read, with `beer_micro`."""
        beer = attrs.pop("beer")
        return {**attrs, "beer_micro": beer.micro}


class ReturnReworks(OutcomeRecording):
    """POST: the beer of so many is tipped back into a tank, which holds new contents then."""

    right: ClassVar[Right] = Right.CELLAR
    asked = ReworkAsked

    def record(self, **asked: Any) -> ReturnOutcome:
        """Tip it back."""
        return rework_returned(customer_return=self.customer_return(), **asked)
