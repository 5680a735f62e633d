"""The ledger in plain words: an event's postings and links by codes, and proof that a refusal wrote nothing."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.db.models import Sum

from brewery.kernel.errors import DomainError
from brewery.kernel.models import Request
from brewery.production.models import Brew, PackagingRun
from brewery.science.units import format_micro
from inventory.models import Balance, Decision, Event, Link, Location, Lot, Material, Party, Posting

TABLES = (Request, Event, Posting, Link, Lot, Decision, Balance, Location, Material, Party, Brew, PackagingRun)


def shown(quantity_micro: int, lot: Lot) -> str:
    """Return a quantity as people write it: "12.5 kg"."""
    return f"{format_micro(quantity_micro, lot.material.base_unit)} {lot.material.base_unit}"


def postings(event: Event) -> set[tuple[str, str, str, str]]:
    """Return the event's postings as (lot, from, to, quantity)."""
    rows = event.postings.select_related("lot__material", "from_location", "to_location")
    return {
        (row.lot.code, row.from_location.code, row.to_location.code, shown(row.quantity_micro, row.lot)) for row in rows
    }


def links(event: Event) -> set[tuple[str, str, str, str]]:
    """Return the event's links as (parent, child, kind, quantity of the parent)."""
    rows = event.links.select_related("parent__material", "child")
    return {
        (row.parent.code, row.child.code, row.get_kind_display(), shown(row.quantity_micro, row.parent)) for row in rows
    }


def everything_written() -> dict[str, tuple[int, int]]:
    """Return how many rows every table of the record has, and the sum of what the balances say."""
    held = Balance.objects.aggregate(sum=Sum("quantity_micro", default=0))["sum"]
    marked = Lot.objects.exclude(reversed_by=None).count() + Link.objects.exclude(reversed_by=None).count()
    return {model.__name__: (model._default_manager.count(), held + marked) for model in TABLES}


@contextmanager
def refused(error: type[DomainError], sentence: str, *, field: str | None = None) -> Iterator[None]:
    """What follows is refused with exactly this sentence, before any advice, and has written nothing."""
    before = everything_written()
    with pytest.raises(error) as caught:
        yield
    refusal = caught.value
    assert type(refusal) is error
    assert str(refusal).removesuffix(refusal.instead).strip().removesuffix(error.advice).strip() == sentence
    if field:
        assert refusal.field == field
    assert everything_written() == before
