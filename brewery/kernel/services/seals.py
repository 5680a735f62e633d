"""Sealing: what was recorded since the last seal is put under a new one."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from django.db import transaction

from brewery.kernel.clock import now
from brewery.kernel.database.locks import hold_still
from brewery.kernel.database.sets import AT_ONCE, portions
from brewery.kernel.models import Request, Seal, SealedRequest
from brewery.kernel.queries.seals import Digests, digest_of_request, digest_of_seal, last_seal, rows_of, unsealed


def seal_record() -> Seal | None:
    """Everything recorded by now is under a seal. Returns the last seal: a new one where anything was new.

    None only where nothing was ever recorded. Two who seal at once take turns, and what one sealed the other leaves.
    """
    with transaction.atomic():
        hold_still(Request)
        read_at = now()
        waiting = _unsealed()
    with transaction.atomic():
        hold_still(Seal)
        waiting = sorted(set(waiting) & set(_unsealed())) if waiting else []
        return _seal(waiting, read_at) if waiting else last_seal()


def _unsealed() -> list[UUID]:
    return list(unsealed().values_list("pk", flat=True))


def _seal(requests: Sequence[UUID], read_at: datetime) -> Seal:
    previous = last_seal()
    written: dict[UUID, Digests] = {}
    for portion in portions(requests):
        written |= rows_of(portion)
    digests = {key: digest_of_request(key, rows) for key, rows in written.items()}
    seal = Seal.objects.create(
        previous=previous,
        digest=digest_of_seal(previous, digests.items()),
        requests=len(written),
        rows=sum(len(keys) for rows in written.values() for keys in rows.values()),
        read_at=read_at,
        sealed_at=now(),
    )
    SealedRequest.objects.bulk_create(
        [SealedRequest(seal=seal, request=key, digest=digests[key], rows=rows) for key, rows in written.items()],
        batch_size=AT_ONCE,
    )
    return seal
