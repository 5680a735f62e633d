"""Scans at the dock: each makes a line of the draft, counts one package more, or says more of the line in hand.

The same field takes what a scanner, a scale and a hand type: a barcode, "5.2 kg", or the code of a place.
"""

import re
from collections.abc import Iterator
from typing import Any
from uuid import UUID

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.science.typed import typed_micro
from brewery.science.units import BaseUnit, UnitError
from inventory.models import Delivery, DeliveryLine, Material, TradeItem
from inventory.queries.deliveries import line_in_hand, lines_of, usual_place
from inventory.queries.registers import place_of
from inventory.services.delivery_drafts import locked_draft, name_of, note_change
from inventory.services.delivery_lines import append_lines, refuse_changed_line, set_line
from inventory.services.draft_refusals import NothingInHand, NothingToReceive, OwnLotScanned, PalletOnLine
from inventory.services.scan_refusals import MissingPartner, UnreadableScan
from inventory.services.scans import SYMBOLOGY, Scan, read_scan

_WEIGHT = re.compile(r"[0-9]{1,6}([.,][0-9]{1,6})?\s*([A-Za-z][A-Za-z ]*)?")
"""Shorter than any GTIN. A place whose code looks like it is a place."""

MICRO = 10**6


@once("scan_into_delivery", returns=Delivery)
def scan_into_delivery(*, delivery: Delivery, text: str, actor: User, request_id: UUID) -> Delivery:
    """What was scanned is in the draft.

    A box makes a line, prefilled with what its label says and with the place where the line before went; a package of
    fixed content that is on a line already is counted there. A pallet's number alone says which one the next boxes
    come from. A weight or a place is said of the line that the person entered or changed last. Raises UnreadableScan,
    NothingInHand, NothingToReceive, OwnLotScanned, PalletOnLine, ChangedMeanwhile, DraftBooked, DraftDiscarded.
    """
    draft = locked_draft(delivery, None, ())
    if _WEIGHT.fullmatch(text.strip()) and not place_of(text.strip()):
        _weigh(draft, text.strip(), actor)
        return draft
    scan, fills = _read(draft, text, actor)
    if fills:
        _complete(draft, scan, actor)
    elif scan.location and not scan.sscc:
        _say(draft, *_in_hand(draft, actor, "a place"), {"location": scan.location}, actor)
    elif scan.own_lot:
        raise OwnLotScanned(lot=scan.own_lot.code, material=scan.own_lot.material, field="text")
    elif scan.material:
        _enter(draft, scan, scan.material, actor)
    elif scan.sscc:
        draft.pallet = scan.sscc
        note_change(draft, actor, ["pallet"], f"began to unload pallet {scan.sscc}")
    else:
        raise NothingToReceive(text=scan.text, field="text")
    return draft


def _weigh(draft: Delivery, text: str, actor: User) -> None:
    line, version = _in_hand(draft, actor, "a weight")
    try:
        micro = typed_micro(text, line.material.base_unit)
    except UnitError as wrong:
        raise InvalidInput(field="text", value=text, problem=str(wrong)) from wrong
    _say(draft, line, version, {"quantity_micro": micro, "quantity_typed": text}, actor)


def _say(draft: Delivery, line: DeliveryLine, version: int, facts: dict[str, Any], actor: User) -> None:
    """The line in hand says these facts, unless somebody else said other ones since."""
    refuse_changed_line(draft, line.pk, version, facts)
    set_line(draft, line, facts, actor)


def _in_hand(draft: Delivery, actor: User, said: str) -> tuple[DeliveryLine, int]:
    found = line_in_hand(draft, actor)
    if found is None:
        raise NothingInHand(delivery=name_of(draft), said=said, field="text")
    return found


def _read(draft: Delivery, text: str, actor: User) -> tuple[Scan, bool]:
    """Return the scan, and whether it is the second barcode of the label of the line in hand.

    A label may spread over two barcodes, each of which means little alone: the number of the pallet that is being
    unloaded stands in for its other barcode, or the trade item of the line in hand does.
    """
    try:
        return read_scan(text), False
    except MissingPartner:
        content = SYMBOLOGY.sub("", text.strip(), count=1)
        for beginning, fills in _other_barcodes(draft, actor):
            try:
                return read_scan(beginning + content), fills
            except UnreadableScan:
                continue
        raise


def _other_barcodes(draft: Delivery, actor: User) -> Iterator[tuple[str, bool]]:
    if draft.pallet:
        yield f"00{draft.pallet}", False
    found = line_in_hand(draft, actor)
    item = TradeItem.objects.filter(material=found[0].material).first() if found else None
    if item:
        yield f"01{item.gtin}", True


def _complete(draft: Delivery, scan: Scan, actor: User) -> None:
    """The line in hand says what it did not say yet and its second barcode does."""
    line, version = _in_hand(draft, actor, "this")
    weight = scan.net_micro
    told: dict[str, Any] = {"supplier_lot": scan.lot, "best_before": scan.best_before}
    told |= {"quantity_micro": weight, "note_quantity_micro": weight, "package_micro": weight}
    missing = {name: value for name, value in told.items() if value and not getattr(line, name)}
    if missing:
        _say(draft, line, version, missing, actor)


def _enter(draft: Delivery, scan: Scan, material: Material, actor: User) -> None:
    pallet = scan.sscc or draft.pallet
    lines = list(lines_of(draft))
    if scan.sscc:
        _refuse_pallet_again(lines, scan.sscc)
    same = [line for line in lines if _is_same_package(line, scan, pallet)]
    if same:
        _count_one_more(draft, same[-1], scan, actor)
        return
    (line,) = append_lines(draft, [_facts(draft, scan, material, lines) | {"sscc": pallet}])
    if scan.sscc:
        draft.pallet = ""
    note_change(draft, actor, [f"{line.pk}."], f"added line {line.position}, {line.material}")


def _refuse_pallet_again(lines: list[DeliveryLine], sscc: str) -> None:
    for line in lines:
        if line.sscc == sscc:
            raise PalletOnLine(sscc=sscc, line=line.position, field="text")


def _is_same_package(line: DeliveryLine, scan: Scan, pallet: str) -> bool:
    """Whether the line holds packages just like this one, of fixed content, and nobody has weighed them yet."""
    content = scan.trade_item.content_micro if scan.trade_item else None
    says = (line.material, line.supplier_lot, line.sscc, line.package_micro)
    return (
        content is not None
        and scan.net_micro is None
        and not scan.serial
        and not scan.sscc
        and says == (scan.material, scan.lot, pallet, content)
        and line.best_before == scan.best_before
        and line.quantity_micro == line.note_quantity_micro
    )


def _count_one_more(draft: Delivery, line: DeliveryLine, scan: Scan, actor: User) -> None:
    total = (line.quantity_micro or 0) + (scan.quantity_micro or 0)
    count = (line.package_count or 1) + (scan.count or 1)
    facts = {"package_count": count, "quantity_micro": total, "note_quantity_micro": total, "quantity_typed": ""}
    set_line(draft, line, facts, actor)


def _facts(draft: Delivery, scan: Scan, material: Material, lines: list[DeliveryLine]) -> dict[str, Any]:
    """Return what the label says, and what is likely. A label speaks for the note until somebody says otherwise."""
    content = scan.trade_item.content_micro if scan.trade_item else None
    quantity = scan.quantity_micro
    if quantity is None and scan.count and material.base_unit == BaseUnit.EACH:
        quantity = scan.count * MICRO
    of_same_lot = [line for line in lines if scan.lot and line.material == material and line.supplier_lot == scan.lot]
    return {
        "material": material,
        "supplier_lot": scan.lot,
        "best_before": scan.best_before,
        "quantity_micro": quantity,
        "note_quantity_micro": quantity,
        "package_count": scan.count or 1,
        "package_micro": content or (scan.net_micro if scan.count in (None, 1) else None),
        "crop_year": of_same_lot[-1].crop_year if of_same_lot else None,
        "location": usual_place(draft, material),
    }
