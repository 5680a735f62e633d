"""Doing what was asked exactly once, however often it is asked."""

import functools
from collections.abc import Callable
from typing import Any, ParamSpec, TypeVar, cast
from uuid import UUID

from django.db import connection, models, transaction

from brewery.kernel.clock import now
from brewery.kernel.errors import RequestIdReused
from brewery.kernel.models import Request, User
from brewery.kernel.plain import plain

P = ParamSpec("P")
Result = TypeVar("Result", bound=models.Model)


def once(action: str, returns: type[Result]) -> Callable[[Callable[P, Result]], Callable[P, Result]]:
    """Make a service run in one transaction and answer a repeated request with what the first one made.

    The service takes only keyword arguments, among them `actor` and `request_id`; everything else is the content
    that a repetition must match. The wrapped service raises RequestIdReused, naming the first input that differs,
    where the id was used before for something else.
    """

    def wrap(service: Callable[P, Result]) -> Callable[P, Result]:
        @functools.wraps(service)
        def wrapped(*args: P.args, **kwargs: P.kwargs) -> Result:
            request_id, actor = cast(UUID, kwargs["request_id"]), cast(User, kwargs["actor"])
            content = {key: plain(value) for key, value in kwargs.items() if key not in ("actor", "request_id")}
            with transaction.atomic():
                if not _claim(request_id, action, actor, content):
                    return _answer_again(request_id, action, actor, content, returns)
                result = service(*args, **kwargs)
                Request.objects.filter(pk=request_id).update(result_id=result.pk)
            return result

        return wrapped

    return wrap


def _claim(request_id: UUID, action: str, actor: User, content: dict[str, Any]) -> bool:
    """Write the request; False where it is there already. Waits for another transaction that is writing it now."""
    row: dict[str, Any] = {
        "id": request_id,
        "action": action,
        "actor": actor.pk,
        "content": content,
        "recorded_at": now(),
        "result_id": None,
    }
    fields = {field.name: field for field in Request._meta.concrete_fields}
    values = [fields[name].get_db_prep_save(value, connection) for name, value in row.items()]
    columns = ", ".join(str(fields[name].column) for name in row)
    marks = ", ".join(["%s"] * len(row))
    with connection.cursor() as cursor:
        cursor.execute(
            f"INSERT INTO kernel_request ({columns}) VALUES ({marks}) ON CONFLICT (id) DO NOTHING",  # noqa: S608
            values,
        )
        return bool(cursor.rowcount == 1)


def _answer_again(request_id: UUID, action: str, actor: User, content: dict[str, Any], returns: type[Result]) -> Result:
    earlier = Request.objects.get(pk=request_id)
    if earlier.action != action:
        raise RequestIdReused(field="request_id", request_id=request_id, field_name="action")
    if earlier.actor_id != actor.pk:
        raise RequestIdReused(field="request_id", request_id=request_id, field_name="person")
    for name in sorted(earlier.content.keys() | content.keys()):
        if earlier.content.get(name) != content.get(name):
            raise RequestIdReused(field=name, request_id=request_id, field_name=name)
    return returns._default_manager.get(pk=earlier.result_id)
