"""Retained samples: what is kept, where, until when, and what may be thrown away."""

from datetime import date

from django.db.models import Exists, OuterRef, QuerySet

from brewery.production.models import RetainedSample, SampleDisposal


def kept_samples() -> QuerySet[RetainedSample]:
    """Return the samples that are still kept, the one that may go first at the top."""
    gone = SampleDisposal.objects.filter(sample=OuterRef("pk"), event__reversed_by=None)
    rows = RetainedSample.objects.filter(~Exists(gone), event__reversed_by=None)
    return rows.select_related("lot__material", "location", "event__actor").order_by("keep_until", "pk")


def samples_to_throw_away(day: date) -> QuerySet[RetainedSample]:
    """Return the samples that were to be kept until before that day."""
    return kept_samples().filter(keep_until__lt=day)


def samples_by_place(place: str = "") -> QuerySet[RetainedSample]:
    """Return the samples that are still kept, place by place; only those of one place where its code is given."""
    rows = kept_samples().order_by("location__code", "keep_until", "pk")
    return rows.filter(location__code=place) if place else rows
