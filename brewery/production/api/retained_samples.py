"""Retained samples, and their throwing away."""

from typing import Any, ClassVar

import django_filters
from rest_framework import serializers

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, TextField
from brewery.kernel.api.filters import CodeFilter
from brewery.kernel.api.views import Recording, RecordList
from brewery.production.api.packagings import MOST
from brewery.production.models import RetainedSample, SampleDisposal
from brewery.production.queries.retained_samples import kept_samples
from brewery.production.services.retained_samples import LONGEST_SHELF, retain_sample, throw_away_sample
from inventory.api.codes import LotField, PlaceField
from inventory.api.parts import ReasonField


class RetainedSampleAnswer(serializers.ModelSerializer[RetainedSample]):
    """So many of a packaged lot, where, and until when."""

    lot = serializers.CharField(source="lot.code")
    location = serializers.CharField(source="location.code")

    class Meta:
        model = RetainedSample
        fields = ("id", "event", "lot", "location", "shelf", "count", "keep_until")


class RetainedSampleAsked(serializers.Serializer[Any]):
    """Packages that are kept back."""

    happened_at = MomentField()
    lot = LotField()
    from_location = PlaceField()
    location = PlaceField()
    shelf = TextField(max_length=LONGEST_SHELF, required=False, allow_blank=True, default="")
    count = serializers.IntegerField(min_value=1, max_value=MOST)
    keep_until = serializers.DateField()


class SampleFilters(django_filters.FilterSet):
    """Narrows the list; `keep_until_before` gives what may be thrown away on that day."""

    lot = CodeFilter(field_name="lot__code")
    keep_until_before = django_filters.DateFilter(field_name="keep_until", lookup_expr="lt")

    class Meta:
        model = RetainedSample
        fields: tuple[str, ...] = ()


class RetainedSamples(RecordList, Recording[RetainedSample]):
    """Retained samples that are still kept, the last taken first; POST keeps one back."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.SAMPLE}
    queryset = kept_samples()
    serializer_class = answered = RetainedSampleAnswer
    asked = RetainedSampleAsked
    filterset_class = SampleFilters

    def record(self, **asked: Any) -> RetainedSample:
        """Keep it back."""
        return retain_sample(**asked)


class SampleDisposalAnswer(serializers.ModelSerializer[SampleDisposal]):
    """A sample thrown away, and the event that says so."""

    class Meta:
        model = SampleDisposal
        fields = ("id", "sample", "event")


class SampleDisposalAsked(serializers.Serializer[Any]):
    """Which sample is thrown away; before its day a reason is needed."""

    happened_at = MomentField()
    sample: Any = serializers.PrimaryKeyRelatedField(queryset=RetainedSample.objects.select_related("lot", "location"))
    reason = ReasonField()


class SampleDisposals(Recording[SampleDisposal]):
    """POST: throw a retained sample away."""

    right: ClassVar[Right] = Right.DESTROY
    asked = SampleDisposalAsked
    answered = SampleDisposalAnswer

    def record(self, **asked: Any) -> SampleDisposal:
        """Throw it away."""
        return throw_away_sample(**asked)
