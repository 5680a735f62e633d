"""Long lists, a page at a time: a cursor holds its place while new records come in."""

import re
from typing import Any

from django.core.exceptions import ValidationError as NotAValue
from django.core.validators import ProhibitNullCharactersValidator
from django.db.models import Field, Model, QuerySet
from rest_framework.exceptions import NotFound, ValidationError
from rest_framework.pagination import CursorPagination
from rest_framework.request import Request
from rest_framework.views import APIView

_SIZE = re.compile("[1-9][0-9]{0,2}")


class RecordPagination(CursorPagination):
    """50 records a page, or `page_size` up to 200. The order is the view's `ordering`, which is one unique field."""

    page_size = 50
    max_page_size = 200
    page_size_query_param = "page_size"
    ordering = "-id"

    _position: "Field[Any, Any]"

    def get_ordering(self, request: Request, queryset: QuerySet[Model], view: APIView | None) -> tuple[str, ...]:
        """Return the view's own unique order."""
        return (getattr(view, "ordering", self.ordering),)

    def get_page_size(self, request: Request) -> int:
        """Return how many records a page holds. Raises ValidationError."""
        given = request.query_params.get(self.page_size_query_param, str(self.page_size))
        if not _SIZE.fullmatch(given) or int(given) > self.max_page_size:
            raise ValidationError({"page_size": f"Give a whole number from 1 to {self.max_page_size}."})
        return int(given)

    def paginate_queryset(self, queryset: Any, request: Request, view: APIView | None = None) -> list[Any] | None:
        """Return the page's records. Raises ValidationError for a cursor that no page gave out."""
        name = self.get_ordering(request, queryset, view)[0].lstrip("-")
        self._position = queryset.model._meta.get_field(name)
        return super().paginate_queryset(queryset, request, view)

    def decode_cursor(self, request: Request) -> Any:
        """Return the cursor of the request, or None. Raises ValidationError where its place is none."""
        try:
            cursor = super().decode_cursor(request)
            if cursor and cursor.position is not None:
                ProhibitNullCharactersValidator()(cursor.position)
                self._position.run_validators(self._position.to_python(cursor.position))
        except (NotFound, NotAValue) as error:
            raise ValidationError({"cursor": "Take the next page's address from the answer as it is."}) from error
        return cursor
