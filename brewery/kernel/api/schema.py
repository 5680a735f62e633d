"""The OpenAPI description of the API: what every operation has in common is said here once."""

from typing import Any, Literal

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse
from rest_framework import serializers

from brewery.kernel.api.idempotency import HEADER
from brewery.kernel.api.problems import PROBLEM_JSON
from brewery.kernel.api.versions import HEADER as IF_MATCH
from brewery.kernel.api.views import Changing, Recording

_READ = {
    "400": "A value is not valid.",
    "401": "It needs a sign-in.",
    "403": "It needs a right that this person does not have.",
    "404": "There is nothing at this address.",
    "406": "The answer cannot be had in that form.",
}
_WRITE = _READ | {
    "409": "The record refuses it: see `code`.",
    "413": "The content is too large.",
    "415": "The content is not JSON.",
    "422": "The Idempotency-Key was used before, for something else.",
    "429": "Too many requests, or locked out.",
    "503": "The record is busy: send the same again.",
}
_KEY = OpenApiParameter(
    HEADER,
    type=OpenApiTypes.UUID,
    location=OpenApiParameter.HEADER,
    required=True,
    description="A new UUID for a new request; the same one for its repetition, which gives the same answer.",
)


_VERSION = {
    "412": "Somebody changed it since the version in If-Match.",
    "428": "It needs If-Match.",
}


def _seen(*, required: bool) -> OpenApiParameter:
    return OpenApiParameter(
        IF_MATCH,
        type=OpenApiTypes.STR,
        location=OpenApiParameter.HEADER,
        required=required,
        description='The ETag of the answer that was seen, as in "7".',
    )


class FaultAnswer(serializers.Serializer[Any]):
    """One fault of what was sent."""

    field = serializers.CharField(allow_null=True)
    code = serializers.CharField()
    detail = serializers.CharField()
    value = serializers.JSONField(required=False)


class ProblemAnswer(serializers.Serializer[Any]):
    """Problem details (RFC 9457)."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField()
    code = serializers.CharField()
    errors = FaultAnswer(many=True)  # type: ignore[assignment]


def closed_requests(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Say of every body of a request, and of what is nested in it, that it has no members but those described."""
    for name, form in result["components"]["schemas"].items():
        if name.endswith("Request") and form.get("type") == "object":
            form["additionalProperties"] = False
    return result


def _has_the_bounds_of_a_column(field: Any) -> bool:
    """How much a column of whole numbers can hold differs by database, and is nothing to describe."""
    if not isinstance(field, serializers.IntegerField) or not isinstance(field.parent, serializers.ModelSerializer):
        return False
    return field.field_name not in field.parent._declared_fields


class ApiSchema(AutoSchema):
    """Describes each operation with its key, where it records something, and with every problem it may answer."""

    def get_tags(self) -> list[str]:
        """Return the first word of the address after the version."""
        return [self.path.removeprefix("/api/v1/").split("/")[0]]

    def get_override_parameters(self) -> list[Any]:
        """Return the Idempotency-Key for what writes, and If-Match where a version is heeded."""
        writes = self._recording() or self._changing() or (self.method == "DELETE" and self._needs_version())
        seen = [_seen(required=self._needs_version())] if self._heeds_version() else []
        return [*([_KEY] if writes else []), *seen]

    def get_request_serializer(self) -> Any:
        """Return what the view asks for."""
        if recording := self._recording():
            return recording.asked
        changing = self._changing()
        return changing.changed if changing else super().get_request_serializer()

    def get_response_serializers(self) -> Any:
        """Return what the view answers when it does what was asked."""
        if recording := self._recording():
            return {201: recording.answered}
        changing = self._changing()
        return {200: changing.answered} if changing else super().get_response_serializers()

    def get_description(self) -> str:  # type: ignore[override]
        """Return the docstring of the view, whose methods explain themselves to programmers only."""
        return (type(self.view).__doc__ or "").strip()

    def _recording(self) -> Recording[Any] | None:
        return self.view if self.method == "POST" and isinstance(self.view, Recording) else None

    def _changing(self) -> Changing[Any] | None:
        return self.view if self.method == "PATCH" and isinstance(self.view, Changing) else None

    def _needs_version(self) -> bool:
        return self.method in getattr(self.view, "needs_version", ())

    def _heeds_version(self) -> bool:
        return self._needs_version() or self.method in getattr(self.view, "takes_version", ())

    def _get_response_bodies(self, direction: Literal["request", "response"] = "response") -> Any:
        bodies = super()._get_response_bodies(direction)
        for status, words in self._problems().items():
            problem = OpenApiResponse(ProblemAnswer, description=words)
            bodies[status] = self._get_response_for_code(  # type: ignore[no-untyped-call]
                problem, status, [PROBLEM_JSON], direction
            )
        return bodies

    def _insert_min_max(self, field: Any, content: Any) -> None:
        if not _has_the_bounds_of_a_column(field):
            super()._insert_min_max(field, content)

    def _insert_field_validators(self, field: Any, schema: Any) -> None:
        if not _has_the_bounds_of_a_column(field):
            super()._insert_field_validators(field, schema)  # type: ignore[no-untyped-call]

    def _problems(self) -> dict[str, str]:
        if self.method == "GET":
            return _READ
        return _WRITE | _VERSION if self._heeds_version() else _WRITE
