"""Rules of codes and best-before days."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import TextField
from brewery.kernel.api.views import Recording, RecordList
from brewery.production.models import PackagingRule
from brewery.production.services.packaging_rules import set_packaging_rule
from brewery.science.lot_patterns import Span
from inventory.api.codes import MaterialField

LONGEST_PATTERN = 80


class RuleAnswer(serializers.ModelSerializer[PackagingRule]):
    """A rule; without a material it is for all that have none of their own."""

    material = serializers.CharField(source="material.code", allow_null=True, default=None)
    actor = serializers.CharField(source="actor.username")

    class Meta:
        model = PackagingRule
        fields = (
            "id",
            "material",
            "pattern",
            "has_l_prefix",
            "life",
            "life_in",
            "to_months_end",
            "in_force_from",
            "set_at",
            "actor",
        )


class RuleAsked(serializers.Serializer[Any]):
    """A rule in force from a day on."""

    material = MaterialField(required=False, allow_null=True, default=None)
    pattern = TextField(max_length=LONGEST_PATTERN)
    has_l_prefix = serializers.BooleanField(required=False, default=False)
    life = serializers.IntegerField(min_value=1, max_value=3653, required=False, allow_null=True, default=None)
    life_in = serializers.ChoiceField(choices=[one.value for one in Span], required=False, default=Span.DAYS.value)
    to_months_end = serializers.BooleanField(required=False, default=False)
    in_force_from = serializers.DateField()


class PackagingRules(RecordList, Recording[PackagingRule]):
    """Rules, the last set first, those no longer in force among them; POST sets one."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.SPECIFY}
    queryset = PackagingRule.objects.select_related("material", "actor")
    serializer_class = answered = RuleAnswer
    asked = RuleAsked

    def record(self, **asked: Any) -> PackagingRule:
        """Set it."""
        return set_packaging_rule(**asked)
