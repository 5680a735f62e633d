"""The key of a write: chosen by the caller and kept over retries, so that what was asked happens once.

The header is that of the IETF draft "The Idempotency-Key HTTP Header Field" (httpapi working group).
"""

import re
from uuid import UUID

from rest_framework.request import Request

from brewery.kernel.errors import DomainError

HEADER = "Idempotency-Key"
_KEY = re.compile(r'"?([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})"?', re.IGNORECASE)


class IdempotencyKeyMissing(DomainError):
    code = "idempotency_key_missing"
    status = 400
    title = "The request needs a key of its own."
    template = "The header Idempotency-Key is missing."
    advice = "Send a new UUID in it, and the same one again whenever you repeat this request."


class IdempotencyKeyInvalid(DomainError):
    code = "idempotency_key_invalid"
    status = 400
    title = "The request's key is not valid."
    template = "The header Idempotency-Key is {value!r}, which is not a UUID."
    advice = "Send a new UUID in it, and the same one again whenever you repeat this request."


def request_id_of(request: Request) -> UUID:
    """Return the caller's key. Raises IdempotencyKeyMissing, IdempotencyKeyInvalid.

    The draft has the key as a quoted string; the quotes may be left out.
    """
    given = request.headers.get(HEADER, "").strip()
    if not given:
        raise IdempotencyKeyMissing(field=HEADER)
    found = _KEY.fullmatch(given)
    if not found:
        raise IdempotencyKeyInvalid(field=HEADER, value=given[:60])
    return UUID(found[1])
