"""Holds over the API: what one would reach, placing it, and releasing it in whole or for some lots."""

from typing import Any, ClassVar

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import RecordDetail, Recording, RecordList
from inventory.api.codes import LotField
from inventory.api.parts import ReasonField
from inventory.models import Material
from inventory.models.dispositions import Disposition
from traceability.api.traces import PlaceAnswer
from traceability.models import HeldLot, Hold, HoldRelease
from traceability.queries.asking import NAMES, kinds_by_name
from traceability.queries.families import Family, Member, family_of
from traceability.queries.holds import held_lots, holds, standing
from traceability.queries.lookup import lots_by_codes
from traceability.queries.report import place_as_data
from traceability.services.holds import place_hold, release_hold

MOST_COUNTED = 2**53
FOLLOW = OpenApiParameter("follow", str, description=f"Kinds of link, separated by commas: {', '.join(NAMES)}.")


class CountField(serializers.IntegerField):
    """How many of something, never below none."""

    def __init__(self, **options: Any) -> None:
        super().__init__(min_value=0, max_value=MOST_COUNTED, **options)


class MemberAnswer(serializers.Serializer[Any]):
    """One lot that is reached, with where it is now."""

    lot = serializers.CharField(source="lot.code")
    material = serializers.CharField(source="lot.material.code")
    kind = serializers.ChoiceField(source="lot.material.kind", choices=Material.Kind.choices)
    disposition = serializers.ChoiceField(source="lot.disposition", choices=Disposition.choices)
    is_start = serializers.BooleanField()
    where = serializers.SerializerMethodField()

    @extend_schema_field(PlaceAnswer(many=True))
    def get_where(self, member: Member) -> Any:
        return [place_as_data(place, member.lot) for place in member.places]


class FamilyAnswer(serializers.Serializer[Any]):
    """All that is reached, and what it comes to: how many lots, tanks, packages here and at customers, customers."""

    follow = serializers.ListField(child=serializers.ChoiceField(choices=list(NAMES)))
    lots = CountField()
    lots_on_hand = CountField()
    tanks = serializers.ListField(child=serializers.CharField())
    in_process = serializers.ListField(child=serializers.CharField())
    packages_here = CountField()
    packages_at_customers = CountField()
    customers = serializers.ListField(child=serializers.CharField())
    members = MemberAnswer(many=True)


def family_as_data(family: Family, follow: list[str]) -> dict[str, Any]:
    """Return a family as FamilyAnswer shapes it."""
    return {
        "follow": follow,
        "lots": len(family.members),
        "lots_on_hand": len(family.on_hand),
        "tanks": [place.code for place in family.tanks],
        "in_process": [place.code for place in family.in_process],
        "packages_here": family.packages_here,
        "packages_at_customers": family.packages_out,
        "customers": [party.code for party in family.customers],
        "members": family.members,
    }


class PreviewAsked(serializers.Serializer[Any]):
    """From which lots, over which links."""

    lots = serializers.CharField(max_length=4000)
    follow = serializers.CharField(required=False, default="", max_length=100)


class HoldPreviews(GenericAPIView[Any]):
    """What a hold would reach, before it is placed; writes nothing."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = FamilyAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(
        operation_id="hold_preview",
        parameters=[
            OpenApiParameter("lots", str, required=True, description="Codes of the lots, separated by spaces."),
            FOLLOW,
        ],
    )
    def get(self, request: Request) -> Response:
        """Answer what it would reach."""
        asked = PreviewAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        lots = lots_by_codes(asked.validated_data["lots"].split(), "lots")
        kinds = kinds_by_name(asked.validated_data["follow"])
        family = family_of({lot.pk for lot in lots}, kinds)
        return Response(FamilyAnswer(family_as_data(family, [name for name in NAMES if NAMES[name] in kinds])).data)


class HoldAnswer(serializers.Serializer[Hold]):
    """One hold: which links it follows, why, by whom, and how many lots are under it now and ever were."""

    id = serializers.IntegerField()
    follow = serializers.SerializerMethodField()
    reason = serializers.CharField()
    reference = serializers.CharField()
    placed_at = serializers.DateTimeField()
    actor = serializers.CharField(source="actor.username")
    lots_held = CountField()
    lots_ever = CountField()

    @extend_schema_field(serializers.ListField(child=serializers.ChoiceField(choices=list(NAMES))))
    def get_follow(self, hold: Hold) -> list[str]:
        return [name for name in NAMES if NAMES[name] in hold.kinds]


class HeldLotAnswer(serializers.Serializer[HeldLot]):
    """One lot that is or was under a hold; `event` made it of one that was held already."""

    lot = serializers.CharField(source="lot.code")
    material = serializers.CharField(source="lot.material.code")
    disposition = serializers.ChoiceField(source="lot.disposition", choices=Disposition.choices)
    is_start = serializers.BooleanField()
    event = serializers.IntegerField(source="event_id", allow_null=True)
    held_at = serializers.DateTimeField()
    released_at = serializers.DateTimeField(source="released_by.released_at", default=None, allow_null=True)
    released_because = serializers.CharField(source="released_by.reason", default=None, allow_null=True)
    released_by = serializers.CharField(source="released_by.actor.username", default=None, allow_null=True)


class HoldInFull(HoldAnswer):
    """One hold with every lot that is or was under it."""

    lots = serializers.SerializerMethodField()

    @extend_schema_field(HeldLotAnswer(many=True))
    def get_lots(self, hold: Hold) -> Any:
        return [HeldLotAnswer(one).data for one in held_lots(hold)]


class HoldAsked(serializers.Serializer[Any]):
    """From which lots, over which links, and why."""

    lots = serializers.ListField(child=LotField(), max_length=500)
    follow = serializers.ListField(child=TextField(max_length=20), max_length=len(NAMES))
    reason = ReasonField()
    reference = TextField(max_length=60, required=False, allow_blank=True, default="")


class HoldFilters(django_filters.FilterSet):
    """Narrows the list of holds."""

    lot = CodeFilter(field_name="held__lot__code", distinct=True)
    is_standing = django_filters.BooleanFilter(method="by_standing")

    class Meta:
        model = Hold
        fields: tuple[str, ...] = ()

    def by_standing(self, rows: QuerySet[Hold], name: str, value: bool) -> QuerySet[Hold]:
        """Return those under which there are lots, or those that are over."""
        return rows.filter(pk__in=standing()) if value else rows.exclude(pk__in=standing())


class Holds(RecordList, Recording[Hold]):
    """Holds, the newest first; POST places one on lots and on all that comes of them, now and later."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.DECIDE}
    queryset = holds()
    serializer_class = answered = HoldAnswer
    asked = HoldAsked
    filterset_class = HoldFilters

    def record(self, **asked: Any) -> Hold:
        """Place it."""
        return place_hold(**asked)

    def in_full(self, made: Hold) -> Hold:
        """Return it with its counts."""
        return holds().get(pk=made.pk)


class OneHold(RecordDetail):
    """One hold with its lots."""

    queryset = holds()
    serializer_class = HoldInFull
    lookup_field = "pk"
    thing = "hold"


@extend_schema_field({"type": "integer", "minimum": 1})
class HoldField(serializers.PrimaryKeyRelatedField[Hold]):
    """A hold by its number."""

    default_error_messages = {"does_not_exist": "There is no hold of this number: look it up in the list."}

    def get_queryset(self) -> QuerySet[Hold]:
        """Return all of them."""
        return Hold.objects.all()


class HoldReleaseAsked(serializers.Serializer[Any]):
    """Which hold, for which lots (for all, where none are named), and why."""

    hold = HoldField(pk_field=serializers.IntegerField(min_value=1, max_value=2**63 - 1))
    lots = serializers.ListField(child=LotField(), required=False, default=None, allow_null=True, max_length=500)
    reason = ReasonField()


class HoldReleaseAnswer(serializers.Serializer[HoldRelease]):
    """One release from a hold, and the lots that it released."""

    id = serializers.IntegerField()
    hold = serializers.IntegerField(source="hold_id")
    reason = serializers.CharField()
    released_at = serializers.DateTimeField()
    actor = serializers.CharField(source="actor.username")
    lots = serializers.SerializerMethodField()

    @extend_schema_field(serializers.ListField(child=serializers.CharField()))
    def get_lots(self, release: HoldRelease) -> list[str]:
        return list(release.lots.order_by("lot").values_list("lot__code", flat=True))


class HoldReleases(Recording[HoldRelease]):
    """POST: release a hold, in whole or for some of its lots."""

    right: ClassVar[Right] = Right.DECIDE
    asked = HoldReleaseAsked
    answered = HoldReleaseAnswer

    def record(self, **asked: Any) -> HoldRelease:
        """Release them."""
        return release_hold(**asked)
