"""Scans: what a barcode says about what is in front of the clerk."""

import re
from dataclasses import dataclass
from datetime import date

from brewery.science import gs1
from brewery.science.units import BaseUnit, to_micro
from inventory.models import Location, LogisticUnit, Lot, Material, TradeItem
from inventory.queries.registers import lot_of, place_of
from inventory.services.company import own_gln
from inventory.services.element_strings import (
    GROUP_SEPARATOR,
    Elements,
    elements_of_link,
    elements_of_message,
    wrong_check_digit,
)
from inventory.services.scan_refusals import UnknownGtin, UnknownLabel, UnreadableScan

SYMBOLOGY = re.compile(r"\][A-Za-z][0-9A-Za-z]")
HOLDS_A_MESSAGE = frozenset({"]C1", "]e0", "]d2", "]Q3", "]J1"})
HOLDS_A_GTIN = frozenset({"]E0", "]E4", "]I0", "]I1"})
"""Symbology identifiers, ISO/IEC 15424: GS1-128, DataBar, DataMatrix, QR and DotCode; EAN/UPC and ITF."""

LONGEST_CODE = 40

LONGEST_SCAN = 4296
"""What the largest QR holds of letters and digits. ISO/IEC 18004."""

OWN_LOT = "91"
"""Internal information of the company whose GLN stands before it: on our labels, the code of a lot."""

NET_UNITS = {
    "310": (BaseUnit.KG, "kg"),
    "320": (BaseUnit.KG, "lb"),
    "315": (BaseUnit.L, "L"),
    "361": (BaseUnit.L, "US gal"),
}
"""Net weights and volumes: the first three digits of the identifier, and the unit of what follows."""


@dataclass(frozen=True)
class Scan:
    """What a scan says; whatever it does not say is None, or empty.

    `net_micro` is the net weight or volume that the label gives, in micro-units of the material's base unit. `count` is
    the number of items (AI 30, or AI 37 of a pallet). `location` and `own_lot` are the brewery's own, by their labels;
    the location of a pallet that is on record is given with its `sscc`.
    """

    text: str
    gtin: str = ""
    trade_item: TradeItem | None = None
    material: Material | None = None
    lot: str = ""
    best_before: date | None = None
    made_on: date | None = None
    packed_on: date | None = None
    net_micro: int | None = None
    count: int | None = None
    sscc: str = ""
    serial: str = ""
    location: Location | None = None
    own_lot: Lot | None = None

    @property
    def quantity_micro(self) -> int | None:
        """What it is in all: the net quantity of the label, else what so many of the trade item hold, else None."""
        content = self.trade_item.content_micro if self.trade_item else None
        if self.net_micro is not None or content is None:
            return self.net_micro
        return content * (self.count or 1)


def read_scan(text: str) -> Scan:
    """Return what was scanned: a GS1 barcode, a GTIN, an SSCC, a GS1 Digital Link, or one of our own codes.

    The text may begin with a symbology identifier, as scanners send it; the separator is the group separator (0x1D).
    Raises UnreadableScan, or the class under it that says what is wrong; `UnknownGtin` for a GTIN that nobody entered.
    """
    text = text.strip(" \t\r\n" + GROUP_SEPARATOR)
    found = SYMBOLOGY.match(text)
    symbology, content = (found[0], text[3:]) if found else ("", text)
    own = _own_code(text, content)
    return own or _scan_of(text, _elements_of(symbology, content))


def _own_code(text: str, content: str) -> Scan | None:
    """Return the scan of a lot's or place's bare code, as a person types it."""
    if not content.isprintable() or len(content) > LONGEST_CODE:
        return None
    if lot := lot_of(content):
        return Scan(text, own_lot=lot, material=lot.material)
    place = place_of(content)
    is_ours = place is not None and place.is_inside and place.kind != Location.Kind.PALLET
    return Scan(text, location=place) if is_ours else None


def _elements_of(symbology: str, content: str) -> Elements:
    if re.match(r"https?://", content, re.IGNORECASE):
        return elements_of_link(content)
    if symbology in HOLDS_A_MESSAGE:
        return elements_of_message(content)
    if re.fullmatch(r"[0-9]+", content) and len(content) in gs1.GTIN_LENGTHS:
        return elements_of_message("01" + _with_right_check_digit("GTIN", content).zfill(14))
    if not symbology and re.fullmatch(r"[0-9]{18}", content):
        return elements_of_message("00" + content)
    if not symbology and re.match(r"\([0-9]{2,4}\)", content):
        return elements_of_message(_message_of_print(content))
    if symbology or not re.match(r"[0-9]{2}", content):
        raise UnreadableScan(text=content, field="text")
    return elements_of_message(content)


def _with_right_check_digit(key: str, number: str) -> str:
    if not gs1.has_right_check_digit(number):
        raise wrong_check_digit(key, number)
    return number


def _message_of_print(content: str) -> str:
    """Return the message of a line as printed under a barcode: (01)…(10)….

    A bracket in a value cannot be told from the next identifier: what cannot be taken apart is refused.
    """
    parts = re.findall(r"\(([0-9]{2,4})\)([^()]+)", content)
    if "".join(f"({identifier}){value}" for identifier, value in parts) != content:
        raise UnreadableScan(text=content, field="text")
    return GROUP_SEPARATOR.join(identifier + value for identifier, value in parts)


def _scan_of(text: str, elements: Elements) -> Scan:
    values = {identifier: element.value for identifier, element in elements.items()}
    gtin = values.get("01") or values.get("02") or ""
    item = _trade_item(gtin)
    count = values.get("30") or values.get("37")
    sscc = values.get("00", "")
    lot = values.get("10", "")
    own_lot = _own_lot(values) or _made_here(item, lot)
    known = item or own_lot
    return Scan(
        text=text,
        gtin=gtin,
        trade_item=item,
        material=known.material if known else None,
        lot=lot,
        best_before=_day(elements, "15", "17", "7003"),
        made_on=_day(elements, "11", "8008"),
        packed_on=_day(elements, "13"),
        net_micro=_net_micro(elements, item.material) if item else None,
        count=int(count) if count else None,
        sscc=sscc,
        serial=values.get("21", ""),
        location=_pallet(sscc) or _own_place(values),
        own_lot=own_lot,
    )


def _trade_item(gtin: str) -> TradeItem | None:
    if not gtin:
        return None
    item = TradeItem.objects.filter(gtin=gtin).select_related("material").first()
    if item is None:
        raise UnknownGtin(gtin=gtin, field="text")
    return item


def _day(elements: Elements, *identifiers: str) -> date | None:
    days = (elements[identifier].date for identifier in identifiers if identifier in elements)
    return next((day for day in days if day is not None), None)


def _net_micro(elements: Elements, material: Material) -> int | None:
    """Return the net quantity in the material's base unit, or None where the label gives none in a fitting unit."""
    for identifier, element in elements.items():
        base, unit = NET_UNITS.get(identifier[:3], (None, ""))
        if element.decimal is not None and base == material.base_unit:
            return to_micro(element.decimal, unit)
    return None


def _pallet(sscc: str) -> Location | None:
    unit = LogisticUnit.objects.filter(sscc=sscc).select_related("location").first() if sscc else None
    return unit.location if unit else None


def _own_place(values: dict[str, str]) -> Location | None:
    """Return the place of one of our own location labels: our GLN (414), extended by the code of the place (254)."""
    code = values.get("254", "")
    if values.get("414") != own_gln() or not code:
        return None
    place = place_of(code)
    if place is None:
        raise UnknownLabel(thing="location", name=code, field="text")
    return place


def _own_lot(values: dict[str, str]) -> Lot | None:
    """Return the lot of one of our own lot labels: our GLN (414) with the code of the lot (91)."""
    code = values.get(OWN_LOT, "")
    if values.get("414") != own_gln() or not code:
        return None
    lot = lot_of(code)
    if lot is None:
        raise UnknownLabel(thing="lot", name=code, field="text")
    return lot


def _made_here(item: TradeItem | None, code: str) -> Lot | None:
    """Return the lot that we made ourselves and that bears the batch number on its trade item, or None."""
    lot = lot_of(code) if item and code else None
    return lot if lot and item and lot.material_id == item.material_id and lot.supplier_id is None else None
