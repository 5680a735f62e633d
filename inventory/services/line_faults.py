"""What is wrong with the lines of a delivery: each by itself, and beside the others."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence

from brewery.kernel.errors import DomainError, InvalidInput
from brewery.science import gs1
from brewery.science.units import format_micro
from inventory.models import Balance, DeliveryLine, Location, LogisticUnit, Lot, Posting
from inventory.queries.contents import contents_of
from inventory.services import checks
from inventory.services.deliveries import LINE_CHECKS, ReceivedLot, refuse_beside
from inventory.services.draft_refusals import (
    BeyondTolerance,
    CodeTwice,
    Missing,
    PalletKnown,
    TwoPlacesOnePallet,
)
from inventory.services.posting import codes_taken
from inventory.services.refusals import LotCodeTaken, VesselOccupied
from inventory.services.silos import heel_of

PPM = 10**6
CODE_FIELDS = ("lot_code", "contents_code")
_LINE_FIELDS = {"code": "lot_code"}


def faults_of_lines(lines: Sequence[DeliveryLine]) -> list[DomainError]:
    """Return all that is wrong with the lines; `lines[2].location` is the field of a fault of the third."""
    return [
        *(at_line(index, fault) for index, line in enumerate(lines) for fault in _by_itself(line)),
        *_codes(lines),
        *_beside(lines),
        *_room(lines),
        *_pallets(lines),
    ]


def at_line(index: int, fault: DomainError) -> DomainError:
    """Return the fault, pointing at the line."""
    field = _LINE_FIELDS.get(fault.field or "", fault.field or "")
    fault.field = f"lines[{index}].{field}"
    return fault


def received(line: DeliveryLine) -> ReceivedLot | None:
    """Return the line as the ledger takes it, or None where something is missing that it cannot do without."""
    if line.location is None or line.quantity_micro is None:
        return None
    return ReceivedLot(
        material=line.material,
        code=line.lot_code,
        quantity_micro=line.quantity_micro,
        location=line.location,
        supplier_lot=line.supplier_lot,
        best_before=line.best_before,
        generation=line.generation,
        contents_code=line.contents_code,
        crop_year=line.crop_year,
        package_micro=line.package_micro,
    )


def goes_on_pallet(line: DeliveryLine) -> bool:
    """Return whether the line's lot stays on its pallet: it has one, and is put into a store."""
    return bool(line.sscc and line.location and line.location.kind == Location.Kind.STORE)


def caught(check: Callable[..., None], *given: object) -> Iterator[DomainError]:
    """Yield what the check refuses, if it does."""
    try:
        check(*given)
    except DomainError as fault:
        yield fault


def _by_itself(line: DeliveryLine) -> Iterator[DomainError]:
    if line.quantity_micro is None:
        yield Missing(what="What it weighs, or how many there are,", field="quantity")
    if line.location is None:
        yield Missing(what="Where it was put", field="location")
    yield from _difference(line)
    ready = received(line)
    if ready:
        for check in LINE_CHECKS:
            yield from caught(check, ready)
    if goes_on_pallet(line) and not (len(line.sscc) == gs1.SSCC_LENGTH and gs1.has_right_check_digit(line.sscc)):
        problem = "An SSCC has 18 digits, the last one its check digit."
        yield InvalidInput(field="sscc", value=line.sscc, problem=problem)


def _difference(line: DeliveryLine) -> Iterator[DomainError]:
    weighed, noted = line.quantity_micro, line.note_quantity_micro
    if weighed is None or noted is None or line.difference_reason:
        return
    tolerance = line.material.delivery_tolerance_ppm
    if abs(weighed - noted) * PPM > tolerance * noted:
        unit = line.material.base_unit
        yield BeyondTolerance(
            weighed=f"{format_micro(weighed, unit)} {unit}",
            noted=f"{format_micro(noted, unit)} {unit}",
            tolerance=f"{tolerance / 10_000:g}",
            field="difference_reason",
        )


def _codes(lines: Sequence[DeliveryLine]) -> Iterator[DomainError]:
    """Each code can be one, and is borne by no lot and no other line."""
    named = [(index, field, getattr(line, field)) for index, line in enumerate(lines) for field in CODE_FIELDS]
    taken = codes_taken([code for _, _, code in named if code])
    first: dict[str, int] = {}
    for index, field, code in named:
        if not code and field == "lot_code":
            yield at_line(index, Missing(what="The lot code", field=field))
        if not code:
            continue
        yield from (at_line(index, bad) for bad in caught(checks.refuse_bad_code, code, field))
        if code in taken:
            yield at_line(index, LotCodeTaken(lot=code, field=field))
        if code in first:
            yield at_line(index, CodeTwice(lot=code, line=lines[first[code]].position, field=field))
        first.setdefault(code, index)


def _beside(lines: Sequence[DeliveryLine]) -> Iterator[DomainError]:
    """Silos and brinks take what may go in with what is there, and with what else comes."""
    before: dict[int, list[ReceivedLot]] = defaultdict(list)
    for index, line in enumerate(lines):
        lot = received(line)
        if lot is None or lot.location.kind not in (Location.Kind.SILO, Location.Kind.BRINK):
            continue
        others = before[lot.location.pk]
        look = _silo if lot.location.kind == Location.Kind.SILO else _brink
        yield from (at_line(index, fault) for fault in look(lot, others))
        others.append(lot)


def _silo(lot: ReceivedLot, others: Sequence[ReceivedLot]) -> Iterator[DomainError]:
    yield from caught(refuse_beside, lot, others)
    heel = heel_of(lot.location)
    if heel and not lot.contents_code:
        problem = f"{lot.location} still holds lot {heel.code}: give the code of the mixed contents."
        yield InvalidInput(field="contents_code", value="", problem=problem)


def _brink(lot: ReceivedLot, others: Sequence[ReceivedLot]) -> Iterator[DomainError]:
    lies_there = contents_of(lot.location)
    held = others[0].code if others else lies_there.code if lies_there else ""
    if held:
        yield VesselOccupied(location=lot.location, held_lot=held, lot=lot.code, field="location")


def _room(lines: Sequence[DeliveryLine]) -> Iterator[DomainError]:
    """Each place takes all that comes into it; told at the last line that goes there."""
    into: dict[int, list[Posting]] = defaultdict(list)
    last: dict[int, int] = {}
    origin = Location(kind=Location.Kind.SUPPLIER)
    for index, line in enumerate(lines):
        if line.location and line.location.capacity_micro and line.quantity_micro:
            lot = Lot(code=line.lot_code, material=line.material)
            way = {"from_location": origin, "to_location": line.location}
            into[line.location.pk].append(Posting(lot=lot, quantity_micro=line.quantity_micro, **way))
            last[line.location.pk] = index
    for place, postings in into.items():
        yield from (at_line(last[place], fault) for fault in caught(checks.refuse_over_capacity, postings))


def _pallets(lines: Sequence[DeliveryLine]) -> Iterator[DomainError]:
    """A pallet stands in one place, and is a new one, or an empty one that stands there."""
    first: dict[str, int] = {}
    for index, line in enumerate(lines):
        if goes_on_pallet(line):
            other = lines[first.setdefault(line.sscc, index)]
            if other.location_id != line.location_id:
                facts = {"sscc": line.sscc, "line": other.position, "location": other.location}
                yield at_line(index, TwoPlacesOnePallet(field="location", **facts))
    known = LogisticUnit.objects.filter(sscc__in=list(first)).select_related("stands_in") if first else []
    loaded = Balance.objects.filter(location__in=[unit.location_id for unit in known], quantity_micro__gt=0)
    filled = set(loaded.values_list("location", flat=True)) if known else set()
    for unit in known:
        index = first[unit.sscc]
        if unit.location_id in filled or unit.stands_in_id != lines[index].location_id:
            words = " with lots on it" if unit.location_id in filled else ""
            yield at_line(index, PalletKnown(sscc=unit.sscc, location=unit.stands_in, filled=words, field="sscc"))
