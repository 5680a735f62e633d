"""Specifications: what a property of a material must keep to, from a day on."""

from typing import Any, ClassVar

import django_filters
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import PartsField, TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import Recording, RecordList
from brewery.science.units import MICRO
from inventory.api.codes import MaterialField
from inventory.models import Specification
from inventory.queries.specifications import limits_of
from inventory.services.specifications import set_specification

PROPERTY_LENGTH = 40


class SpecificationAnswer(serializers.ModelSerializer[Specification]):
    """What is asked of one property, both limits inclusive and in its own unit; `limits` says it in words."""

    material = serializers.CharField(source="material.code")
    least = PartsField(MICRO, source="least_micro", allow_null=True)
    most = PartsField(MICRO, source="most_micro", allow_null=True)
    limits = serializers.SerializerMethodField()
    actor = serializers.CharField(source="request.actor.username")

    class Meta:
        model = Specification
        fields = (
            "id",
            "material",
            "property",
            "least",
            "most",
            "is_withdrawn",
            "limits",
            "in_force_from",
            "source",
            "actor",
        )

    def get_limits(self, specification: Specification) -> str:
        return limits_of(specification)


class SpecificationAsked(serializers.Serializer[Any]):
    """What is asked of one property. Without limits it must be stated; withdrawn, it is asked for no longer."""

    material = MaterialField()
    property = TextField(max_length=PROPERTY_LENGTH)
    least = PartsField(MICRO, source="least_micro", required=False, allow_null=True)
    most = PartsField(MICRO, source="most_micro", required=False, allow_null=True)
    is_withdrawn = serializers.BooleanField(required=False, default=False)
    in_force_from = serializers.DateField()
    source = TextField(max_length=200, required=False, allow_blank=True, default="")  # type: ignore[assignment]


class SpecificationFilters(django_filters.FilterSet):
    """Narrows the list of specifications."""

    material = CodeFilter(field_name="material__code")
    property = CodeFilter(field_name="property")

    class Meta:
        model = Specification
        fields: tuple[str, ...] = ()


class Specifications(RecordList, Recording[Specification]):
    """Specifications, the last set first, those no longer in force among them; POST sets one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.SPECIFY}
    queryset = Specification.objects.select_related("material", "request__actor")
    serializer_class = answered = SpecificationAnswer
    asked = SpecificationAsked
    filterset_class = SpecificationFilters

    def record(self, **asked: Any) -> Specification:
        """Set it."""
        return set_specification(**asked)
