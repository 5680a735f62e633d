"""Planned brews, what they need, what is short, and what can be brewed with what is here."""

from abc import ABC, abstractmethod
from collections.abc import Iterable
from typing import Any, ClassVar
from uuid import UUID

import django_filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, QuantityAnswer, QuantityShown, TextField, quantity_of
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.versions import Versioned, version_of
from brewery.kernel.api.views import Changing, RecordDetail, Recording, RecordList
from brewery.kernel.errors import NotFound
from brewery.kernel.models import User
from brewery.production.api.codes import SheetField
from brewery.production.api.volumes import volume
from brewery.production.models import BrewPlan
from brewery.production.queries.needs import Brewable, Need, Shortage, brewable, needs_of, open_plans, plans, shortages
from brewery.production.services.plans import call_off_plan, change_plan, plan_brew, reserve_for_plan, start_plan
from brewery.science.units import BaseUnit
from inventory.api.codes import PlaceField
from inventory.api.delivery_drafts import NothingAsked
from inventory.api.parts import ReasonField


class PlanAnswer(serializers.Serializer[BrewPlan]):
    """One planned brew; `brew` is what was started of it."""

    code = serializers.CharField()
    state = serializers.ChoiceField(choices=BrewPlan.State.choices)
    revision = serializers.IntegerField()
    beer = serializers.CharField(source="sheet.beer.code")
    sheet = serializers.IntegerField(source="sheet_id")
    brew_on = serializers.DateField()
    cold_wort = QuantityShown("cold_wort_micro", BaseUnit.L)
    vessel = serializers.CharField(source="vessel.code", allow_null=True, default=None)
    called_off_because = serializers.CharField()
    brew = serializers.CharField(source="brew.code", allow_null=True, default=None)


class PlanChanges(serializers.Serializer[Any]):
    """What of a plan is to be changed; what is left out stays."""

    sheet = SheetField(required=False)
    brew_on = serializers.DateField(required=False)
    cold_wort = volume(required=False)
    vessel = PlaceField(required=False, allow_null=True)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read, with `cold_wort_micro`."""
        wort = attrs.pop("cold_wort", None)
        return {**attrs, "cold_wort_micro": wort.micro} if wort else attrs


class PlanAsked(PlanChanges):
    """A brew to plan, for as much wort at 20 °C as its sheet says unless another volume is given."""

    code = TextField(max_length=20)
    sheet = SheetField()
    brew_on = serializers.DateField()


class StartAsked(serializers.Serializer[Any]):
    """When the brew was begun."""

    started_at = MomentField()


class CallOffAsked(serializers.Serializer[Any]):
    """Why the brew will not be."""

    reason = ReasonField()


class PlanFilters(django_filters.FilterSet):
    """Narrows the list of plans."""

    state = django_filters.ChoiceFilter(choices=BrewPlan.State.choices)
    beer = CodeFilter(field_name="sheet__beer__code")
    brew_from = django_filters.DateFilter(field_name="brew_on", lookup_expr="gte")
    brew_until = django_filters.DateFilter(field_name="brew_on", lookup_expr="lte")

    class Meta:
        model = BrewPlan
        fields: tuple[str, ...] = ()


class PlanShown(Versioned):
    """A view whose answer is a plan, with its revision as ETag."""

    kwargs: dict[str, Any]

    def plan(self) -> BrewPlan:
        """Return the plan that the address names. Raises NotFound."""
        code = self.kwargs["code"]
        found = None if "\x00" in code else plans().filter(code=code).first()
        if found is None:
            raise NotFound(thing="plan", code=code)
        return found

    def in_full(self, made: BrewPlan) -> BrewPlan:
        """Return the plan as it is now."""
        fresh = plans().get(pk=made.pk)
        self.shown_version = fresh.revision
        return fresh


class BrewPlans(PlanShown, RecordList, Recording[BrewPlan]):
    """Planned brews, the last planned first; POST plans one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.BREW}
    queryset: QuerySet[BrewPlan] = plans()
    serializer_class = answered = PlanAnswer
    asked = PlanAsked
    filterset_class = PlanFilters

    def record(self, **asked: Any) -> BrewPlan:
        """Plan it."""
        return plan_brew(**asked)


class OneBrewPlan(PlanShown, RecordDetail, Changing[BrewPlan]):
    """One plan by its code; PATCH changes it, as of the revision that was seen."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "PATCH": Right.BREW}
    queryset: QuerySet[BrewPlan] = plans()
    serializer_class = answered = PlanAnswer
    changed = PlanChanges
    lookup_field = "code"
    thing: ClassVar[str] = "plan"
    needs_version: ClassVar[tuple[str, ...]] = ("PATCH",)

    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Show it."""
        plan = self.plan()
        self.shown_version = plan.revision
        return Response(self.get_serializer(plan).data)

    def change(self, *, changes: dict[str, Any], actor: User, request_id: UUID) -> BrewPlan:
        """Change it, unless it was changed since the revision that was seen."""
        revision = version_of(self.request)
        return change_plan(plan=self.plan(), revision=revision, changes=changes, actor=actor, request_id=request_id)


class PlanRecording(PlanShown, Recording[BrewPlan]):
    """POST to a plan that the address names; the answer is the plan."""

    right: ClassVar[Right] = Right.BREW
    queryset: QuerySet[BrewPlan] = plans()
    answered: ClassVar[type[serializers.BaseSerializer[Any]]] = PlanAnswer


class PlanStarts(PlanRecording):
    """POST: start the brew under the plan's code, by its sheet and for its length."""

    asked = StartAsked

    def record(self, **asked: Any) -> BrewPlan:
        """Start it."""
        return start_plan(plan=self.plan(), **asked)


class PlanCallOffs(PlanRecording):
    """POST: call the brew off; nothing is kept for it any more."""

    asked = CallOffAsked

    def record(self, **asked: Any) -> BrewPlan:
        """Call it off."""
        return call_off_plan(plan=self.plan(), **asked)


class PlanReservations(PlanRecording):
    """POST: keep all that is free of what the plan needs for it, first expired first out."""

    asked = NothingAsked

    def record(self, **asked: Any) -> BrewPlan:
        """Keep it."""
        return reserve_for_plan(plan=self.plan(), **asked)


class NeedAnswer(QuantityAnswer):
    """What one plan wants of one material; `is_estimate` where hops could not be weighed for want of a known alpha."""

    plan = serializers.CharField()
    brew_on = serializers.DateField()
    material = serializers.CharField()
    is_estimate = serializers.BooleanField()

    def to_representation(self, need: Need) -> dict[str, Any]:
        """Return the need as answers show it."""
        return {
            "plan": need.plan.code,
            "brew_on": need.plan.brew_on.isoformat(),
            "material": need.material.code,
            "is_estimate": need.is_estimate,
            **quantity_of(need.quantity_micro, need.material.base_unit),
        }


class ShortageAnswer(serializers.Serializer[Shortage]):
    """What a material is short of on a day, after all plans up to it and all orders due by then."""

    material = serializers.CharField()
    day = serializers.DateField()
    wanted = QuantityAnswer()
    available = QuantityAnswer()
    expected = QuantityAnswer()
    missing = QuantityAnswer()
    plans = serializers.ListField(child=serializers.CharField())

    def to_representation(self, short: Shortage) -> dict[str, Any]:
        """Return the shortage as answers show it."""
        unit = short.material.base_unit
        return {
            "material": short.material.code,
            "day": short.day.isoformat(),
            "wanted": quantity_of(short.wanted_micro, unit),
            "available": quantity_of(short.available_micro, unit),
            "expected": quantity_of(short.expected_micro, unit),
            "missing": quantity_of(short.missing_micro, unit),
            "plans": list(short.plans),
        }


class MissingAnswer(QuantityAnswer):
    """What is missing for a line of a sheet; hops that are asked for as alpha acids are missing as such."""

    material = serializers.CharField()
    is_alpha_acids = serializers.BooleanField()


class BrewableAnswer(serializers.Serializer[Brewable]):
    """A sheet in use, and whether its whole length can be brewed today with what is free."""

    beer = serializers.CharField()
    sheet = serializers.IntegerField()
    version = serializers.IntegerField()
    is_enough = serializers.BooleanField()
    missing = MissingAnswer(many=True)

    def to_representation(self, one: Brewable) -> dict[str, Any]:
        """Return the sheet as answers show it."""
        return {
            "beer": one.sheet.beer.code,
            "sheet": one.sheet.pk,
            "version": one.sheet.version,
            "is_enough": one.is_enough,
            "missing": [
                {
                    "material": line.wanted.material.code,
                    "is_alpha_acids": line.wanted.alpha_micro is not None,
                    **quantity_of(line.missing_micro, line.wanted.material.base_unit),
                }
                for line in one.missing
            ],
        }


class PlanQuestion(GenericAPIView[Any], ABC):
    """A question about all open plans, answered whole."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    pagination_class = None
    filter_backends = ()

    @abstractmethod
    def answers(self) -> Iterable[Any]:
        """Return what is answered, one row each."""

    def answer(self) -> Response:
        """Answer it."""
        return Response(self.get_serializer(self.answers(), many=True).data)


class BrewNeeds(PlanQuestion):
    """What the open plans want, plan by plan, by material and day."""

    serializer_class = NeedAnswer

    def answers(self) -> Iterable[Need]:
        """Return the needs."""
        return needs_of(open_plans())

    @extend_schema(operation_id="brew_needs", responses=NeedAnswer(many=True))
    def get(self, request: Request) -> Response:
        """Answer the needs."""
        return self.answer()


class BrewShortages(PlanQuestion):
    """What is short for the open plans, the first day first."""

    serializer_class = ShortageAnswer

    def answers(self) -> Iterable[Shortage]:
        """Return the shortages."""
        return shortages(open_plans())

    @extend_schema(operation_id="brew_shortages", responses=ShortageAnswer(many=True))
    def get(self, request: Request) -> Response:
        """Answer the shortages."""
        return self.answer()


class BrewableSheets(PlanQuestion):
    """Every sheet in use, and whether it can be brewed with what is here and free."""

    serializer_class = BrewableAnswer

    def answers(self) -> Iterable[Brewable]:
        """Return the sheets."""
        return brewable()

    @extend_schema(operation_id="brewable_sheets", responses=BrewableAnswer(many=True))
    def get(self, request: Request) -> Response:
        """Answer the sheets."""
        return self.answer()
