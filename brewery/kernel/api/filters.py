"""Narrowing lists: only by what a list knows, so that a mistyped filter never shows everything."""

from typing import Any

import django_filters
from django import forms
from django.db.models import Model, QuerySet
from django.utils.dateparse import parse_datetime
from django_filters.rest_framework import DjangoFilterBackend
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.views import APIView

from brewery.kernel.api.fields import FIRST_YEAR, LAST_YEAR
from brewery.kernel.api.pagination import RecordPagination

_NO_FILTERS = frozenset({RecordPagination.cursor_query_param, RecordPagination.page_size_query_param})


class NamedFilters(DjangoFilterBackend):
    """Filters by the view's filter set, and refuses a parameter that the list does not know."""

    def filter_queryset(self, request: Request, queryset: QuerySet[Model], view: APIView) -> QuerySet[Model]:
        """Return what the filters leave. Raises ValidationError."""
        filterset_class = self.get_filterset_class(view, queryset)
        known = set(filterset_class.base_filters) if filterset_class else set()
        for name in request.query_params:
            if name not in known | _NO_FILTERS:
                choices = ", ".join(sorted(known | _NO_FILTERS))
                raise ValidationError({name: f"This list has no such filter. It has: {choices}."}, code="unknown")
        filtered: QuerySet[Model] = super().filter_queryset(request, queryset, view)
        return filtered


class _MomentFormField(forms.CharField):
    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            moment = parse_datetime(text)
        except ValueError:
            moment = None
        if moment is None or moment.tzinfo is None or not FIRST_YEAR <= moment.year <= LAST_YEAR:
            # What shows it fills in parameters, so a per cent sign is written twice.
            raise forms.ValidationError("Write it as 2026-03-02T07:00:00Z, or with an offset whose + is sent as %%2B.")
        return moment


class MomentFilter(django_filters.Filter):
    """Narrows by a moment with its offset."""

    field_class = _MomentFormField


class CodeFilter(django_filters.CharFilter):
    """Narrows by an exact code or a part of one."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, max_length=60, strip=False, **options)
