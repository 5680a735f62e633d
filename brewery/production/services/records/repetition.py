"""Repetition: what was handed over before, held against what is handed over now."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from brewery.kernel.database.sets import portions
from brewery.kernel.models import Request, User
from brewery.kernel.plain import plain
from brewery.production.services.records.calls.call import Call
from inventory.models import Lot

_LOT = re.compile(r"inventory\.lot:(\d+)")


@dataclass(frozen=True)
class Difference:
    """The first input that is not what it was: the path to it, and where it stands in a list of how many."""

    path: str
    place: int = 0
    of: int = 0


class Earlier:
    """The requests of earlier loads, looked up in one go, with the codes of the lots that they name."""

    def __init__(self, request_ids: Sequence[UUID]) -> None:
        self._requests: dict[UUID, Request] = {}
        for some in portions(request_ids):
            self._requests |= Request.objects.select_related("actor").in_bulk(some)
        named = {key for request in self._requests.values() for key in _lots_in(request.content)}
        self._codes: dict[str, str] = {}
        for keys in portions(sorted(named)):
            self._codes |= {f"inventory.lot:{lot.pk}": lot.code for lot in Lot.objects.filter(pk__in=keys)}

    def __contains__(self, request_id: UUID) -> bool:
        return request_id in self._requests

    def difference(self, request_id: UUID, call: Call, actor: User) -> Difference | None:
        """Return in what the call differs from the earlier one, if it does.

        Lots are compared by code: the code may have been given to another lot meanwhile, by a reversal.
        """
        earlier = self._requests[request_id]
        if earlier.actor_id != actor.pk:
            return Difference("actor")
        self._codes |= {plain(lot): lot.code for lot in _values(call.content) if isinstance(lot, Lot)}
        return _difference(self._by_code(earlier.content), self._by_code(plain(call.content)))

    def _by_code(self, content: Any) -> Any:
        if isinstance(content, dict):
            return {key: self._by_code(value) for key, value in content.items()}
        if isinstance(content, list):
            return [self._by_code(value) for value in content]
        return self._codes.get(content, content) if isinstance(content, str) else content


def _difference(before: Any, after: Any, path: str = "", place: int = 0, of: int = 0) -> Difference | None:
    if isinstance(before, dict) and isinstance(after, dict):
        names = sorted(before.keys() | after.keys())
        steps: Iterable[tuple[Any, Any, str, int, int]] = (
            (before.get(name), after.get(name), f"{path}.{name}".lstrip("."), place, of) for name in names
        )
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        pairs = zip(before, after, strict=True)
        steps = ((one, other, path, at, len(before)) for at, (one, other) in enumerate(pairs))
    else:
        return None if before == after else Difference(path, place, of)
    return next((found for step in steps if (found := _difference(*step))), None)


def _lots_in(content: Any) -> Iterator[int]:
    for value in _values(content):
        if isinstance(value, str) and (found := _LOT.fullmatch(value)):
            yield int(found[1])


def _values(content: Any) -> Iterator[Any]:
    """Yield all that is not a collection, however deep it lies."""
    if isinstance(content, dict):
        content = list(content.values())
    elif hasattr(content, "__dataclass_fields__"):
        content = list(vars(content).values())
    if isinstance(content, list):
        for part in content:
            yield from _values(part)
    else:
        yield content
