"""Counts of yeast by the brewers: viability, cells, wild yeast and bacteria, and how much there is."""

from typing import Any, ClassVar

from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, TextField
from brewery.kernel.api.views import Recording
from brewery.production.services.yeast_counts import COUNTED, count_yeast
from inventory.api.certificates import LONGEST_VALUE, CertificateInFull
from inventory.api.codes import LotField
from inventory.api.parts import PartAsked
from inventory.models import Certificate
from inventory.queries.certificates import certificates_in_full


class CountField(TextField):
    """What was counted, a number as text: "96.5", "< 1"; left out it was not counted."""

    def __init__(self, **options: Any) -> None:
        super().__init__(max_length=LONGEST_VALUE, required=False, allow_blank=True, default="", **options)


class YeastCountAsked(serializers.Serializer[Any]):
    """A count of one lot: viability in %, million cells in a mL, wild yeast and bacteria per million cells.

    `measured` is how much of the lot lies in one place. `replaces` is the number (id) of the count that it corrects.
    """

    lot = LotField()
    happened_at = MomentField()
    viability = CountField()
    cell_count = CountField()
    wild_yeast = CountField()
    bacteria = CountField()
    measured = PartAsked(required=False, allow_null=True, default=None)
    replaces = serializers.PrimaryKeyRelatedField(
        queryset=Certificate.objects.all(), required=False, allow_null=True, default=None
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what the service wants."""
        stated = {key: attrs.pop(key) for key in COUNTED}
        return {**attrs, "counts": {key: value for key, value in stated.items() if value}}


class YeastCounts(Recording[Certificate]):
    """POST: write a count down; it quarantines the lot as a certificate does, and never releases it."""

    right: ClassVar[Right] = Right.COUNT_YEAST
    asked = YeastCountAsked
    answered = CertificateInFull

    def record(self, **asked: Any) -> Certificate:
        """Record it."""
        return count_yeast(**asked)

    def in_full(self, made: Certificate) -> Certificate:
        """Return the count with its values and its lot as it is now."""
        return certificates_in_full().get(pk=made.pk)
