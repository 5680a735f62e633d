"""The stock as tables: by material with every way in and out, by lot, and by place."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date

from brewery.kernel.clock import brewery_day
from brewery.kernel.database.sets import portions
from brewery.kernel.services.spreadsheets import Amount, Cell, Table
from inventory.models import Lot, Material
from inventory.queries.stock import (
    LotAge,
    LotStock,
    PlaceStock,
    StockWanted,
    balances_on_hand,
    lots_on_hand,
    stock_of_lots,
    stock_of_materials,
)
from inventory.queries.turnover import FLOWS, turnover_of

_LOT = ("lot", "material", "name", "kind", "disposition", "supplier", "supplier_lot")
_AGE = ("made_or_received", "age_days", "best_before", "days_left", "past_best_before")


def by_material(wanted: StockWanted, today: date) -> Table:
    """Return every material, in the order of their codes; `wanted` narrows by material and kind."""
    materials = Material.objects.all()
    if wanted.material:
        materials = materials.filter(pk=wanted.material.pk)
    if wanted.kind:
        materials = materials.filter(kind=wanted.kind)
    columns = ("lots", "on_hand", "held_back", "reserved", "free", "in_process", "past_best_before")
    header = ("material", "name", "kind", "unit", *columns, "next_best_before", *FLOWS)
    return Table("Materials", header, list(_materials(list(materials), today)))


def by_lot(wanted: StockWanted, today: date) -> Table:
    """Return every lot of which something is on hand, in the order of their codes."""
    header = (*_LOT, "unit", "on_hand", "reserved", "free", "where", *_AGE)
    return Table("Lots", header, _lots(lots_on_hand(wanted).order_by("code", "pk"), today))


def by_place(wanted: StockWanted, today: date) -> Table:
    """Return what lies of every lot in every place, in the order of the places' codes; one statement."""
    rows = balances_on_hand(wanted).order_by("location__code", "lot__code", "pk")
    header = ("place", "place_name", "stands_in", *_LOT, "quantity", "unit", *_AGE)
    return Table(
        "Places", header, (_lying(PlaceStock(row.location, row.quantity_micro), row.lot, today) for row in rows)
    )


TABLES: dict[str, Callable[[StockWanted, date], Table]] = {
    "stock": by_material,
    "lots": by_lot,
    "places": by_place,
}


def _materials(materials: Sequence[Material], today: date) -> Iterator[Sequence[Cell]]:
    flows = turnover_of(materials)
    for stock, turnover in zip(stock_of_materials(materials, today), flows, strict=True):
        material, unit = stock.material, stock.material.base_unit
        held = (stock.on_hand_micro, stock.held_back_micro, stock.reserved_micro, stock.free_micro)
        yield (
            material.code,
            material.name,
            material.kind,
            unit,
            stock.lots,
            *(Amount(micro, unit) for micro in (*held, stock.in_process_micro, stock.past_micro)),
            stock.next_best_before,
            *(Amount(micro, unit) for micro in turnover.flows.values()),
        )


def _lots(lots: Iterable[Lot], today: date) -> Iterator[Sequence[Cell]]:
    for part in portions(lots):
        for stock in stock_of_lots(part, today):
            yield _lot_row(stock)


def _lot_row(stock: LotStock) -> Sequence[Cell]:
    unit = stock.lot.material.base_unit
    where = ", ".join(f"{place.location.code} {Amount(place.quantity_micro, unit)}" for place in stock.places)
    sums = (stock.on_hand_micro, stock.reserved_micro, stock.free_micro)
    return (*_of_lot(stock.lot), unit, *(Amount(micro, unit) for micro in sums), where, *_of_age(stock))


def _lying(place: PlaceStock, lot: Lot, today: date) -> Sequence[Cell]:
    unit, store = lot.material.base_unit, place.store
    return (
        place.location.code,
        place.location.name,
        store.code if store else None,
        *_of_lot(lot),
        Amount(place.quantity_micro, unit),
        unit,
        *_of_age(LotAge(lot, today)),
    )


def _of_lot(lot: Lot) -> Sequence[Cell]:
    supplier = lot.supplier.code if lot.supplier else None
    return (
        lot.code,
        lot.material.code,
        lot.material.name,
        lot.material.kind,
        lot.disposition,
        supplier,
        lot.supplier_lot,
    )


def _of_age(age: LotAge) -> Sequence[Cell]:
    made_on = brewery_day(age.lot.made_at)
    return made_on, age.age_days, age.lot.best_before, age.days_left, "yes" if age.is_past else "no"
