"""Finding lots by code, kind and disposition, a page at a time."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from django.db.models import Exists, OuterRef

from inventory.models import Balance, Lot

PAGE = 50


@dataclass(frozen=True)
class Wanted:
    """What is asked for; an empty part asks for nothing."""

    code: str = ""
    kind: str = ""
    disposition: str = ""
    in_stock: bool = False


@dataclass(frozen=True)
class Found:
    """One lot with how much of it is on hand, and where."""

    lot: Lot
    on_hand_micro: int
    places: str


@dataclass(frozen=True)
class FoundPage:
    """One page of lots, the newest first; `newer` and `older` are the lots to go on from, or None at the ends."""

    rows: list[Found] = field(default_factory=list)
    newer: int | None = None
    older: int | None = None


def find_lots(wanted: Wanted, *, before: int | None = None, after: int | None = None) -> FoundPage:
    """Return the page of lots older than `before`, or newer than `after`, or else the newest ones."""
    lots = Lot.objects.filter(reversed_by=None).select_related("material")
    if wanted.code:
        lots = lots.filter(code__icontains=wanted.code)
    if wanted.kind:
        lots = lots.filter(material__kind=wanted.kind)
    if wanted.disposition:
        lots = lots.filter(disposition=wanted.disposition)
    if wanted.in_stock:
        lots = lots.filter(Exists(Balance.objects.inside().filter(lot=OuterRef("pk"))))
    if after is not None:
        page = list(lots.filter(pk__gt=after).order_by("pk")[: PAGE + 1])
        more_newer, page = len(page) > PAGE, page[:PAGE][::-1]
        return FoundPage(_with_stock(page), page[0].pk if page and more_newer else None, page[-1].pk if page else None)
    older = lots.filter(pk__lt=before) if before is not None else lots
    page = list(older.order_by("-pk")[: PAGE + 1])
    more_older, page = len(page) > PAGE, page[:PAGE]
    newest = page[0].pk if page and before is not None else None
    return FoundPage(_with_stock(page), newest, page[-1].pk if more_older else None)


def _with_stock(lots: Sequence[Lot]) -> list[Found]:
    held: dict[int, list[Balance]] = defaultdict(list)
    for balance in Balance.objects.inside().filter(lot__in=lots).select_related("location").order_by("location__code"):
        held[balance.lot_id].append(balance)
    return [
        Found(
            lot,
            sum(balance.quantity_micro for balance in held[lot.pk]),
            ", ".join(balance.location.name for balance in held[lot.pk]),
        )
        for lot in lots
    ]
