"""Seals: the digests of what requests wrote, and every row that is no longer as it was sealed.

SHA-256 (FIPS 180-4) over JSON with sorted names and no spaces. A chain proves itself only as far as somebody outside
knows one of its seals: so reports carry the seal that they were drawn under.
"""

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from brewery.kernel.database.sealed import sealed_tables
from brewery.kernel.database.sets import AT_ONCE, portions
from brewery.kernel.models import Request, Seal, SealedRequest
from brewery.kernel.plain import plain

LATE = timedelta(minutes=5)
"""How long before a sealing a request may have been written down and yet be committed after it."""

Digests = dict[str, dict[str, str]]


@dataclass(frozen=True)
class Broken:
    """One thing that is not as it was sealed: a row of a table, or a seal itself."""

    table: str
    row: str
    seal: int | None
    problem: str

    def __str__(self) -> str:
        under = f", seal {self.seal}" if self.seal else ""
        return f"{self.table} {self.row}{under}: {self.problem}"


def digest_of(content: Any) -> str:
    """Return the digest of plain content."""
    text = json.dumps(plain(content), sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def rows_of(requests: Sequence[UUID]) -> dict[UUID, Digests]:
    """Return by request the digest of each row that it wrote, by table and key; one statement a table."""
    found: dict[UUID, Digests] = {key: {} for key in requests}
    for table in sealed_tables():
        rows = table.model._default_manager.filter(**{f"{table.owner}__in": requests}).order_by()
        for owner, key, *values in rows.values_list(table.owner, "pk", *table.columns):
            found[owner].setdefault(table.label, {})[str(key)] = digest_of(table.sealed(values))
    return found


def digest_of_request(request: UUID, rows: Mapping[str, Mapping[str, str]]) -> str:
    """Return the digest of one request with all that it wrote."""
    return digest_of([request, rows])


def digest_of_seal(previous: Seal | None, requests: Iterable[tuple[UUID, str]]) -> str:
    """Return the digest of a seal: that of the one before it, and of its requests in the order of their ids."""
    return digest_of([previous.digest if previous else "", sorted((str(key), digest) for key, digest in requests)])


def last_seal() -> Seal | None:
    """Return the latest seal, or None before the first."""
    return Seal.objects.order_by("-pk").first()


def unsealed() -> QuerySet[Request]:
    """Return the requests that are under no seal yet."""
    return Request.objects.exclude(Exists(SealedRequest.objects.filter(request=OuterRef("pk"))))


def broken() -> Iterator[Broken]:
    """Yield everything that is not as it was sealed: seals, rows changed, added and removed. Reads the whole record."""
    previous: Seal | None = None
    for seal in Seal.objects.order_by("pk").iterator(AT_ONCE):
        yield from _broken_chain(previous, seal)
        for batch in portions(seal.sealed.order_by("pk").iterator(AT_ONCE)):
            yield from _broken_rows(seal, batch)
        previous = seal
    if previous:
        yield from _slipped_in(previous)


def _broken_chain(previous: Seal | None, seal: Seal) -> Iterator[Broken]:
    sealed = list(seal.sealed.values_list("request", "digest"))
    if seal.previous_id != (previous.pk if previous else None):
        yield Broken("seal", str(seal.pk), seal.pk, "it does not follow the seal before it")
    if len(sealed) != seal.requests:
        yield Broken("seal", str(seal.pk), seal.pk, f"{len(sealed)} requests of {seal.requests} are there")
    if digest_of_seal(previous, sealed) != seal.digest:
        yield Broken("seal", str(seal.pk), seal.pk, "its digest is not that of its requests and the seal before it")


def _broken_rows(seal: Seal, batch: Sequence[SealedRequest]) -> Iterator[Broken]:
    there = rows_of([one.request for one in batch])
    for one in batch:
        if digest_of_request(one.request, one.rows) != one.digest:
            yield Broken("seal", str(seal.pk), seal.pk, f"the digests of request {one.request} were changed")
        yield from _differences(seal, one.rows, there[one.request])


def _differences(seal: Seal, sealed: Digests, there: Digests) -> Iterator[Broken]:
    for table in sorted({*sealed, *there}):
        before, now = sealed.get(table, {}), there.get(table, {})
        for key in sorted({*before, *now}, key=lambda key: (len(key), key)):
            if key not in now:
                yield Broken(table, key, seal.pk, "it was removed")
            elif key not in before:
                yield Broken(table, key, seal.pk, "it was added to what had been sealed")
            elif now[key] != before[key]:
                yield Broken(table, key, seal.pk, "it was changed")


def _slipped_in(last: Seal) -> Iterator[Broken]:
    """Yield the requests that claim to be older than the last seal and bear none."""
    older = Request.objects.filter(recorded_at__lt=last.read_at - LATE)
    for key in older.exclude(pk__in=SealedRequest.objects.values("request")).values_list("pk", flat=True):
        yield Broken("kernel.Request", str(key), None, "it claims to be older than the last seal and is under none")
