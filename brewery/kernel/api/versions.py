"""Versions: a write that changes something says in If-Match which version was seen (RFC 9110, 13.1.1; RFC 6585, 3)."""

import re
from typing import Any, ClassVar

from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.errors import DomainError

HEADER = "If-Match"
_TAG = re.compile(r'"([1-9][0-9]{0,8})"')


class VersionMissing(DomainError):
    code = "version_missing"
    status = 428
    title = "The request must say which version it changes."
    template = "The header If-Match is missing."
    advice = "Send the ETag of the answer that you have seen in it."


class VersionInvalid(DomainError):
    code = "version_invalid"
    status = 400
    title = "The version is not valid."
    template = "The header If-Match is {value!r}, which is no version of this."
    advice = 'Send the ETag of the answer that you have seen, as in "7"; a star or a weak tag says too little.'


def version_of(request: Request) -> int:
    """Return the version that the caller has seen. Raises VersionMissing, VersionInvalid."""
    seen = version_if_given(request)
    if seen is None:
        raise VersionMissing(field=HEADER)
    return seen


def version_if_given(request: Request) -> int | None:
    """Return the version that the caller has seen, or None where the caller says nothing. Raises VersionInvalid."""
    given = request.headers.get(HEADER, "").strip()
    if not given:
        return None
    found = _TAG.fullmatch(given)
    if not found:
        raise VersionInvalid(field=HEADER, value=given[:60])
    return int(found[1])


class Versioned:
    """A view whose answers carry the version of what they show, in `ETag`.

    `needs_version` names the methods that cannot do without If-Match, `takes_version` those that heed it.
    """

    needs_version: ClassVar[tuple[str, ...]] = ()
    takes_version: ClassVar[tuple[str, ...]] = ()
    shown_version: int | None = None

    def finalize_response(self, request: Request, response: Response, *args: Any, **kwargs: Any) -> Any:
        """Return the answer with its ETag, where it shows a version."""
        answer = super().finalize_response(request, response, *args, **kwargs)  # type: ignore[misc]
        if self.shown_version is not None and answer.status_code < 300:
            answer["ETag"] = f'"{self.shown_version}"'
        return answer
