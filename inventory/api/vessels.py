"""Vessels: what each holds, whether it is clean, what lay in it, and taking one out of service."""

from typing import Any, ClassVar

import django_filters
from django.db.models import QuerySet
from rest_framework import generics, serializers
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, QuantityShown
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import Recording, RecordList
from brewery.kernel.errors import NotFound
from inventory.api.codes import PlaceField
from inventory.api.locations import LocationAnswer
from inventory.api.parts import ReasonField
from inventory.models import Location, ServiceMark
from inventory.queries.registers import place_of
from inventory.queries.vessels import Occupation, State, VesselState, occupations_of, states_at
from inventory.services.vessels import put_back_into_service, set_cleaning_rule, take_out_of_service


class OccupationAnswer(serializers.Serializer[Occupation]):
    """One lot that lies or lay in a vessel, and the most that there was of it."""

    lot = serializers.CharField(source="lot.code")
    material = serializers.CharField(source="lot.material.code")
    since = serializers.DateTimeField()
    until = serializers.DateTimeField(allow_null=True)
    held = QuantityShown("held_micro", "lot.material.base_unit")
    most = QuantityShown("most_micro", "lot.material.base_unit")


class VesselAnswer(serializers.Serializer[VesselState]):
    """One vessel as it is now. An empty one was not cleaned since `lay_last` left it."""

    code = serializers.CharField(source="vessel.code")
    name = serializers.CharField(source="vessel.name")
    kind = serializers.ChoiceField(source="vessel.kind", choices=Location.Kind.choices)
    must_be_cleaned = serializers.BooleanField(source="vessel.must_be_cleaned")
    state = serializers.ChoiceField(choices=[(state.value, state.words) for state in State])
    since = serializers.DateTimeField(allow_null=True)
    contents = OccupationAnswer(many=True)
    lay_last = OccupationAnswer(allow_null=True)
    capacity = QuantityShown("vessel.capacity_micro", "vessel.capacity_unit", allow_null=True)
    room = QuantityShown("room_micro", "vessel.capacity_unit", allow_null=True)
    cleaned_at = serializers.DateTimeField(source="cleaned.happened_at", default=None, allow_null=True)
    programme = serializers.CharField(source="cleaned.programme", default=None, allow_null=True)


class VesselFilters(django_filters.FilterSet):
    """Narrows the list of vessels."""

    kind = django_filters.ChoiceFilter(choices=[(kind.value, kind.label) for kind in Location.VESSELS])
    code = CodeFilter(field_name="code")

    class Meta:
        model = Location
        fields: tuple[str, ...] = ()


class Vessels(RecordList):
    """Tanks, brinks and silos, each with its state."""

    queryset = Location.objects.vessels()
    serializer_class = VesselAnswer
    filterset_class = VesselFilters
    ordering: ClassVar[str] = "code"

    def paginate_queryset(self, queryset: Any) -> list[Any]:
        """Return the states of the vessels of one page, asked for together."""
        page = super().paginate_queryset(queryset) or []
        states = states_at(page)
        return [states[vessel.pk] for vessel in page]


class Occupations(generics.ListAPIView[Any]):
    """GET: the lots that lay in one vessel, in the order in which they came."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = OccupationAnswer
    queryset: QuerySet[Location] = Location.objects.vessels()
    pagination_class = None
    filter_backends = ()

    def list(self, request: Any, *args: Any, **kwargs: Any) -> Any:
        """Return all of them. Raises NotFound."""
        code = self.kwargs["code"]
        vessel = None if "\x00" in code else place_of(code)
        if vessel is None or vessel.kind not in Location.VESSELS:
            raise NotFound(thing="vessel", code=code)
        return Response(self.get_serializer(occupations_of(vessel), many=True).data)


class ServiceMarkAnswer(serializers.Serializer[ServiceMark]):
    """A vessel was taken out of service, or put back into it."""

    id = serializers.IntegerField()
    vessel = serializers.CharField(source="vessel.code")
    is_out = serializers.BooleanField()
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    actor = serializers.CharField(source="actor.username")
    reason = serializers.CharField()


class ServiceMarkAsked(serializers.Serializer[Any]):
    """Whether the vessel is out of service from then on, and why."""

    happened_at = MomentField()
    vessel = PlaceField()
    is_out = serializers.BooleanField()
    reason = ReasonField()


class ServiceMarks(RecordList, Recording[ServiceMark]):
    """Service marks, the newest first; POST takes a vessel out of service, or puts it back."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.CLEAN}
    queryset = ServiceMark.objects.select_related("vessel", "actor")
    serializer_class = answered = ServiceMarkAnswer
    asked = ServiceMarkAsked

    def record(self, **asked: Any) -> ServiceMark:
        """Mark it."""
        return take_out_of_service(**asked) if asked.pop("is_out") else put_back_into_service(**asked)


class CleaningRuleAsked(serializers.Serializer[Any]):
    """Whether the vessel must be cleaned between two uses."""

    vessel = PlaceField()
    must_be_cleaned = serializers.BooleanField()


class CleaningRules(Recording[Location]):
    """POST: say whether a vessel must be cleaned between two uses; the answer is the location."""

    right: ClassVar[Right] = Right.KEEP_REGISTERS
    asked = CleaningRuleAsked
    answered = LocationAnswer

    def record(self, **asked: Any) -> Location:
        """Set it."""
        return set_cleaning_rule(**asked)
