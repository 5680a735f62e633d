"""Opening stock: what lay in the brewery before its record began, read from a CSV file, all of it or nothing.

The lots come from their suppliers where the file names them, and else from a party that stands for the time before.
"""

import hashlib
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.database.sets import AT_ONCE
from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.kernel.tables.cells import AMOUNT, CODE, DAY, UNIT, WHOLE, choice, text
from brewery.kernel.tables.columns import Column
from brewery.kernel.tables.problems import Problem
from brewery.kernel.tables.reading import Row
from brewery.science.units import UNITS, UnitError, to_micro
from inventory.models import Balance, Decision, Event, Location, Lot, Material, Party
from inventory.models.dispositions import Disposition
from inventory.services.attachments import FileTooLarge
from inventory.services.cells import GENERATION, LOT
from inventory.services.checks import LARGEST_MICRO
from inventory.services.delivery_files import LARGEST_BYTES, LONGEST_NAME, file_refused, named_in, rows_of
from inventory.services.posting import LotFacts, NewLot, Recording, codes_taken, recording
from inventory.services.registers import enter_party

COLUMNS = (
    Column("lot", LOT),
    Column("material", CODE),
    Column("quantity", AMOUNT),
    Column("unit", UNIT),
    Column("place", CODE),
    Column("best_before", DAY, required=False),
    Column("disposition", choice(*Disposition.values), required=False),
    Column("supplier", CODE, required=False),
    Column("supplier_lot", text(60), required=False),
    Column("package_size", AMOUNT, required=False),
    Column("crop_year", WHOLE, required=False),
    Column("generation", GENERATION, required=False),
)
"""What the file may tell of each lot; its first line names the columns, in any order."""

BEFORE_CODE, BEFORE_NAME = "before", "Before the record began"
REASON = "As it was when the record began"


class StockReadBefore(DomainError):
    code = "stock_read_before"
    title = "This file is on record already."
    template = "{person} read this very file in on {moment}."
    advice = "Nothing was added."


def read_in_opening_stock(
    *,
    name: str,
    content: bytes,
    actor: User,
    request_id: UUID,
    happened_at: datetime | None = None,
    unclean_reason: str = "",
) -> Event:
    """Every line of the file is a lot in its place, or none is.

    `unclean_reason` says why vessels are filled that were not cleaned since their last use. Raises FileRefused with
    each bad cell by line, column, value and reason, FileTooLarge, StockReadBefore for the same content, and the
    refusals of the ledger.
    """
    shown = name[:LONGEST_NAME] or "The file"
    if len(content) > LARGEST_BYTES:
        raise FileTooLarge(name=shown, size=len(content), most=LARGEST_BYTES, field="file")
    rows = rows_of(shown, content, COLUMNS)

    @once("read_in_opening_stock", returns=Event)
    def read_in(
        *,
        name: str,
        sha256: str,
        happened_at: datetime | None,
        actor: User,
        request_id: UUID,
        unclean_reason: str = "",
    ) -> Event:
        reference = f"opening stock {sha256[:40]}"
        _refuse_again(reference)
        register = _Register(rows)
        problems = sorted(problem for row in rows for problem in _misfits(name, row, register))
        if problems:
            raise file_refused(name, problems)
        return _record(rows, register, happened_at or now(), reference, actor, request_id, unclean_reason)

    sha256 = hashlib.sha256(content).hexdigest()
    told = {"unclean_reason": unclean_reason} if unclean_reason else {}
    return read_in(name=shown, sha256=sha256, happened_at=happened_at, actor=actor, request_id=request_id, **told)


class _Register:
    """What the codes of a file name, looked up together; and what its lines before have said."""

    def __init__(self, rows: Sequence[Row]) -> None:
        self.materials = named_in(Material.objects.all(), rows, "material")
        self.places = named_in(Location.objects.filter(kind__in=Location.STOCK), rows, "place")
        suppliers = Party.objects.filter(role=Party.Role.SUPPLIER).prefetch_related("locations")
        self.suppliers = named_in(suppliers, rows, "supplier")
        self.taken = dict.fromkeys(codes_taken([row["lot"] for row in rows]), "A lot on record bears it")
        vessels = [place for place in self.places.values() if place.holds_one_lot or place.kind == Location.Kind.SILO]
        lying = Balance.objects.filter(location__in=vessels, quantity_micro__gt=0).select_related("lot", "location")
        self.in_vessels: dict[str, tuple[str, int]] = {
            row.location.code: (f"lot {row.lot.code}", row.lot.material_id) for row in lying
        }


def _refuse_again(reference: str) -> None:
    there = Event.objects.filter(reference=reference, reversed_by=None).select_related("actor").first()
    if there:
        person = there.actor.get_full_name() or there.actor.get_username()
        raise StockReadBefore(person=person, moment=on_the_wall(there.recorded_at), field="file")


def _misfits(name: str, row: Row, register: _Register) -> Iterator[Problem]:
    """Yield what is wrong with a line, and remember what it says for the lines after it."""
    code, material = row["lot"], register.materials.get(row["material"])
    if code in register.taken:
        yield Problem(name, row.line, "lot", f"{register.taken[code]} already.", code)
    register.taken.setdefault(code, f"Line {row.line} bears it")
    if row["supplier"] and row["supplier"] not in register.suppliers:
        yield Problem(name, row.line, "supplier", "There is no supplier of this code.", row["supplier"])
    if material is None:
        yield Problem(name, row.line, "material", "There is no material of this code.", row["material"])
        return
    yield from _misfits_of_quantities(name, row, material)
    place = register.places.get(row["place"])
    if place is None:
        reason = "There is no store, silo, brink or pallet of this code."
        yield Problem(name, row.line, "place", reason, row["place"])
    else:
        yield from _misfits_of_vessel(name, row, place, material, register)


def _misfits_of_quantities(name: str, row: Row, material: Material) -> Iterator[Problem]:
    if UNITS[row["unit"]].base != material.base_unit:
        yield Problem(name, row.line, "unit", f"{material} is counted in {material.base_unit}.", row["unit"])
        return
    for column in ("quantity", "package_size"):
        if row[column] is not None:
            try:
                micro = to_micro(row[column], row["unit"])
            except UnitError as wrong:
                yield Problem(name, row.line, column, str(wrong), str(row[column]))
            else:
                if not 0 < micro < LARGEST_MICRO:
                    yield Problem(name, row.line, column, "Give a real amount above zero.", str(row[column]))


def _misfits_of_vessel(
    name: str, row: Row, place: Location, material: Material, register: _Register
) -> Iterator[Problem]:
    if not place.holds_one_lot and place.kind != Location.Kind.SILO:
        return
    held, held_material = register.in_vessels.get(place.code, ("", 0))
    if held and (place.holds_one_lot or held_material != material.pk):
        what = "one lot" if place.holds_one_lot else "one material"
        yield Problem(name, row.line, "place", f"It holds {held}, and takes {what} at a time.", place.code)
    register.in_vessels.setdefault(place.code, (f"lot {row['lot']}, by line {row.line}", material.pk))


def _record(
    rows: Sequence[Row],
    register: _Register,
    happened_at: datetime,
    reference: str,
    actor: User,
    request_id: UUID,
    unclean_reason: str,
) -> Event:
    origins = _origins(rows, register)
    with recording(
        Event.Kind.RECEIVE,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        reference=reference,
        unclean_reason=unclean_reason,
    ) as record:
        lots = record.make_all([_new_lot(row, register) for row in rows])
        for row, lot in zip(rows, lots, strict=True):
            place, origin = register.places[row["place"]], origins[row["supplier"]]
            record.post(lot, from_=origin, to=place, quantity_micro=lot.made_micro)
        _decide(record, rows, lots, actor, request_id)
    return record.event


def _new_lot(row: Row, register: _Register) -> NewLot:
    package = row["package_size"]
    facts = LotFacts(
        supplier=register.suppliers.get(row["supplier"]),
        supplier_lot=row["supplier_lot"] or "",
        best_before=row["best_before"],
        generation=row["generation"],
        crop_year=row["crop_year"],
        package_micro=None if package is None else to_micro(package, row["unit"]),
    )
    return NewLot(row["lot"], register.materials[row["material"]], to_micro(row["quantity"], row["unit"]), facts)


def _origins(rows: Sequence[Row], register: _Register) -> dict[str | None, Location]:
    """Return where the lots come from, by what their lines say of the supplier."""
    origins: dict[str | None, Any] = {code: party.locations.all()[0] for code, party in register.suppliers.items()}
    if any(row["supplier"] is None for row in rows):
        before = Party.objects.filter(code=BEFORE_CODE).first() or enter_party(
            BEFORE_CODE, BEFORE_NAME, Party.Role.SUPPLIER
        )
        origins[None] = before.locations.get()
    return origins


def _decide(record: Recording, rows: Sequence[Row], lots: Sequence[Lot], actor: User, request_id: UUID) -> None:
    """Each lot may be used as its line says, where that is other than its material's lots arrive; on record as that."""
    decided = [
        (lot, row["disposition"])
        for row, lot in zip(rows, lots, strict=True)
        if row["disposition"] and row["disposition"] != lot.disposition
    ]
    event = record.event
    Decision.objects.bulk_create(
        [
            Decision(
                lot=lot,
                before=lot.disposition,
                after=disposition,
                happened_at=event.happened_at,
                recorded_at=event.recorded_at,
                actor=actor,
                request_id=request_id,
                reason=REASON,
            )
            for lot, disposition in decided
        ],
        batch_size=AT_ONCE,
    )
    for lot, disposition in decided:
        lot.disposition = disposition
    Lot.objects.bulk_update([lot for lot, _ in decided], ["disposition"], batch_size=AT_ONCE)
