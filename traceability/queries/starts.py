"""What a trace may begin with: a lot, what lay in a place, a supplier's lot, a material, a supplier, a customer."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from django.db.models import Q, QuerySet, Sum

from inventory.models import Event, Location, Lot, Material, Party, Posting
from inventory.queries.layers import flows_at

MOST_OFFERED = 8
"""So many of each sort are offered where nothing bears just what was typed."""


class Sort(StrEnum):
    """What sort of thing it is."""

    LOT = "lot"
    PLACE = "place"
    SUPPLIER_LOT = "supplier-lot"
    MATERIAL = "material"
    SUPPLIER = "supplier"
    CUSTOMER = "customer"


@dataclass(frozen=True)
class Start:
    """One thing that a trace may begin with; `key` finds it again within its sort."""

    sort: Sort
    key: str
    words: str

    @property
    def named(self) -> str:
        """The text that names this and nothing else."""
        return f"{self.sort}:{self.key}"


def starts_named(text: str) -> list[Start]:
    """Return all that bears just this code, number or name, or else what has it in its own."""
    return list(_starts(text, "iexact", None)) or list(_starts(text, "icontains", MOST_OFFERED))


def start_of(sort: Sort, key: str) -> Start | None:
    """Return the one thing of that sort and key, or None."""
    return next((start for start in _starts_of(sort, key, "exact", None) if start.key == key), None)


def _starts(text: str, how: str, most: int | None) -> Iterator[Start]:
    for sort in Sort:
        yield from _starts_of(sort, text, how, most)


def _starts_of(sort: Sort, text: str, how: str, most: int | None) -> Iterator[Start]:
    match sort:
        case Sort.LOT:
            lots = _standing().filter(**{f"code__{how}": text}).select_related("material").order_by("-pk")
            yield from (Start(sort, lot.code, f"Lot {lot.code}, {lot.material.name}") for lot in lots[:most])
        case Sort.SUPPLIER_LOT:
            yield from _supplier_lots(text, how, most)
        case Sort.PLACE:
            places = Location.objects.inside().filter(_code_or_name(text, how))
            yield from (Start(sort, row.code, f"What lay in {row.name}") for row in places[:most])
        case Sort.MATERIAL:
            materials = Material.objects.filter(_code_or_name(text, how))
            yield from (Start(sort, row.code, f"Every lot of {row.name}") for row in materials[:most])
        case Sort.SUPPLIER | Sort.CUSTOMER:
            words = "All that came from" if sort is Sort.SUPPLIER else "All that went to"
            parties = Party.objects.filter(_code_or_name(text, how), role=sort.value)
            yield from (Start(sort, row.code, f"{words} {row.name}") for row in parties[:most])


def _code_or_name(text: str, how: str) -> Q:
    return Q(**{f"code__{how}": text}) | Q(**{f"name__{how}": text})


def _supplier_lots(text: str, how: str, most: int | None) -> Iterator[Start]:
    """Yield the batches of suppliers, each once; its key is the supplier's code and their number."""
    rows = _standing().filter(supplier__isnull=False).exclude(supplier_lot="")
    if how == "exact":
        supplier, _, number = text.partition("/")
        rows = rows.filter(supplier__code=supplier, supplier_lot=number)
    else:
        rows = rows.filter(**{f"supplier_lot__{how}": text})
    found = rows.values_list("supplier__code", "supplier__name", "supplier_lot").distinct().order_by("supplier_lot")
    for supplier, name, number in found[:most]:
        yield Start(Sort.SUPPLIER_LOT, f"{supplier}/{number}", f"Supplier's lot {number} of {name}")


def lots_of_start(start: Start, at: datetime | None = None) -> dict[int, int]:
    """Return the lots that are meant, by id, with how much of each in micro-units.

    Of a place what lay there at that moment, or lies there now; of a customer what was shipped to it by then.
    """
    match start.sort:
        case Sort.PLACE:
            return _lay_in(start.key, at)
        case Sort.CUSTOMER:
            return _went_to(start.key, at)
        case Sort.LOT:
            lots = _standing().filter(code=start.key)
        case Sort.SUPPLIER_LOT:
            supplier, _, number = start.key.partition("/")
            lots = _standing().filter(supplier__code=supplier, supplier_lot=number)
        case Sort.MATERIAL:
            lots = _standing().filter(material__code=start.key)
        case Sort.SUPPLIER:
            lots = _standing().filter(supplier__code=start.key)
    return {lot.pk: lot.total_micro for lot in lots}


def _standing() -> QuerySet[Lot]:
    return Lot.objects.filter(reversed_by=None)


def _lay_in(code: str, at: datetime | None) -> dict[int, int]:
    held: dict[int, int] = {}
    for flows in flows_at(Location.objects.filter(code=code), at).values():
        for flow in flows:
            held[flow.lot] = held.get(flow.lot, 0) + flow.quantity_micro
    return {lot: quantity for lot, quantity in held.items() if quantity > 0}


def _went_to(customer: str, at: datetime | None) -> dict[int, int]:
    postings = Posting.objects.filter(
        to_location__kind=Location.Kind.CUSTOMER, to_location__party__code=customer, event__reversed_by=None
    ).exclude(event__kind=Event.Kind.REVERSE)
    if at:
        postings = postings.filter(event__happened_at__lte=at)
    return dict(postings.values_list("lot").annotate(Sum("quantity_micro")).order_by("lot"))
