"""The three things that a view of the API does: list records, show one, or record what happened."""

from abc import ABC, abstractmethod
from typing import Any, ClassVar, Generic, TypeVar, cast
from uuid import UUID

from django.db.models import Model
from rest_framework import generics
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.serializers import BaseSerializer, Serializer

from brewery.kernel.access import Right
from brewery.kernel.api.idempotency import request_id_of
from brewery.kernel.api.strict import refuse_unknown_members
from brewery.kernel.errors import NotFound
from brewery.kernel.models import Request as Asked
from brewery.kernel.models import User

Record = TypeVar("Record", bound=Model)


def person_of(request: Request) -> User:
    """Return the person who asks; only for views that nobody enters without a sign-in."""
    return cast(User, request.user)


class RecordList(generics.ListAPIView[Any]):
    """GET: the records, a page at a time, narrowed by the filters of `filterset_class`."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    ordering: ClassVar[str] = "-id"


class RecordDetail(generics.RetrieveAPIView[Any]):
    """GET: one record, by `lookup_field`."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    thing: ClassVar[str]

    def get_object(self) -> Any:
        """Return the record. Raises NotFound; no code holds a NUL, and PostgreSQL cannot even look for one."""
        code = self.kwargs[self.lookup_field]
        found = None if "\x00" in str(code) else self.get_queryset().filter(**{self.lookup_field: code}).first()
        if found is None:
            raise NotFound(thing=self.thing, code=code)
        return found


class Recording(generics.GenericAPIView[Any], ABC, Generic[Record]):
    """POST: read the body as `asked`, call one service, answer 201 with what was made, shaped by `answered`.

    The Idempotency-Key is the service's request id: the same key and content gives the same answer, also 201.
    """

    asked: ClassVar[type[Serializer[Any]]]
    answered: ClassVar[type[BaseSerializer[Any]]]

    @abstractmethod
    def record(self, **asked: Any) -> Record:
        """Call the service with what was asked, the person and the request id."""

    def in_full(self, made: Record) -> Record:
        """Return what was made with all that the answer shows of it."""
        return made

    def post(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Record it, or refuse it with a reason."""
        request_id = request_id_of(request)
        asked = read_body(self, self.asked, request, request_id)
        made = self.record(**asked, actor=person_of(request), request_id=request_id)
        answer = self.answered(self.in_full(made), context=self.get_serializer_context())
        return Response(answer.data, status=201)


class Changing(generics.GenericAPIView[Any], ABC, Generic[Record]):
    """PATCH: read the body as `changed`, call one service, answer 200 with what it is now, shaped by `answered`.

    Only what the body names is changed. The Idempotency-Key is the service's request id.
    """

    changed: ClassVar[type[Serializer[Any]]]
    answered: ClassVar[type[BaseSerializer[Any]]]

    @abstractmethod
    def change(self, *, changes: dict[str, Any], actor: User, request_id: UUID) -> Record:
        """Call the service with what is to be changed, the person and the request id."""

    def in_full(self, made: Record) -> Record:
        """Return what was changed with all that the answer shows of it."""
        return made

    def patch(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Change it, or refuse it with a reason."""
        request_id = request_id_of(request)
        changes = read_body(self, self.changed, request, request_id)
        made = self.change(changes=changes, actor=person_of(request), request_id=request_id)
        return Response(self.answered(self.in_full(made), context=self.get_serializer_context()).data)


def read_body(
    view: generics.GenericAPIView[Any], asked: type[Serializer[Any]], request: Request, request_id: UUID
) -> dict[str, Any]:
    """Return what the body asks for. Raises ValidationError, also for members that are not asked for."""
    repeated = Asked.objects.filter(pk=request_id).exists()
    body = asked(data=request.data, context={**view.get_serializer_context(), "repeated": repeated})
    refuse_unknown_members(body, request.data)
    body.is_valid(raise_exception=True)
    return cast(dict[str, Any], body.validated_data)
