"""Labels of the brewery's own: of a lot, a pallet, a place. Each scans back as what it hangs on."""

import re
from collections.abc import Mapping, Sequence

from django.db.models import prefetch_related_objects

from brewery.kernel.clock import brewery_day, now, on_the_wall
from brewery.kernel.errors import DomainError
from brewery.science import gs1
from brewery.science.date_marks import printed_date
from brewery.science.units import format_micro
from inventory.labels.printing import Label
from inventory.models import Balance, Location, LogisticUnit, Lot, Material
from inventory.queries.measured_strengths import MeasuredStrength, measured_alcohols
from inventory.queries.pallets import with_contents
from inventory.services.allergens import Declared, declared
from inventory.services.company import own_gln
from inventory.services.scans import OWN_LOT

LONGEST_EXTENSION = 20
"""GS1 General Specifications, AI (254): 1 to 20 characters of character set 82."""


class NoLabel(DomainError):
    code = "no_label"
    title = "There is no label for that."
    template = "{thing} {code!r} has no label: {problem}."
    advice = "Print the label of the place or pallet where it is."


def lot_labels(lots: Sequence[Lot]) -> list[Label]:
    """Return the label of each lot. Raises NoLabel for one made by mistake."""
    prefetch_related_objects(lots, "material", "supplier")
    packaged = [lot for lot in lots if lot.material.kind == Material.Kind.PACKAGED and not lot.reversed_by_id]
    alcohol = measured_alcohols(packaged) if packaged else {}
    contents = declared(packaged) if packaged else {}
    return [_lot_label(lot, _of_packaged(lot, alcohol, contents) if lot in packaged else []) for lot in lots]


def _lot_label(lot: Lot, more: list[tuple[str, str]]) -> Label:
    if lot.reversed_by_id:
        raise NoLabel(thing="Lot", code=lot.code, problem="it was recorded by mistake")
    lines = [_best_before(lot), *more]
    if lot.supplier:
        lines += [("Supplier's lot", lot.supplier_lot or "not given"), ("Supplier", lot.supplier.name)]
    lines.append(("Received" if lot.supplier else "Made", brewery_day(lot.made_at).isoformat()))
    return Label(lot.code, lot.material.name, lines, [("414", own_gln()), (OWN_LOT, lot.code)])


def _best_before(lot: Lot) -> tuple[str, str]:
    if lot.best_before is None:
        return "Best before", "not given"
    if lot.material.kind == Material.Kind.PACKAGED:
        return printed_date(brewery_day(lot.made_at), lot.best_before)
    return "Best before", lot.best_before.isoformat()


def _of_packaged(
    lot: Lot, alcohol: Mapping[int, MeasuredStrength], contents: Mapping[int, Declared]
) -> list[tuple[str, str]]:
    """Return the alcohol as it was measured, never as computed, and the allergens that the record knows of."""
    measured, told = alcohol.get(lot.pk), contents.get(lot.pk)
    lines = [("Alcohol", measured.shown if measured else "not measured")]
    if told and told.silent:
        lines.append(("Contains", ", ".join([*told.named_in_eu, "not all is on record"])))
    elif told:
        lines.append(("Contains", ", ".join(told.named_in_eu) or "no allergen on record"))
    return lines


def pallet_label(unit: LogisticUnit) -> Label:
    """Return the label of a pallet, a GS1 logistic label: its SSCC, and in words what lies on it now."""
    (pallet,) = with_contents([unit])
    materials = dict.fromkeys(balance.lot.material.name for balance in pallet.contents)
    lines = [_held(balance) for balance in pallet.contents]
    lines.append(("As of", on_the_wall(now())))
    return Label(unit.sscc, ", ".join(materials) or "Empty pallet", lines, [("00", unit.sscc)])


def _held(balance: Balance) -> tuple[str, str]:
    material = balance.lot.material
    quantity = f"{format_micro(balance.quantity_micro, material.base_unit)} {material.base_unit}"
    return balance.lot.code, f"{material.name}, {quantity}"


def place_label(place: Location) -> Label:
    """Return the label of a place inside the brewery.

    Raises NoLabel for a pallet, a brew or run in process, a place outside, and a code that GS1 barcodes cannot carry.
    """
    if place.kind not in Location.ENTERED:
        raise NoLabel(thing="Location", code=place.code, problem=f"it is of the kind “{place.get_kind_display()}”")
    if not re.fullmatch(rf"(?:{gs1.CSET_82.pattern}){{1,{LONGEST_EXTENSION}}}", place.code):
        problem = f"GS1 barcodes take {LONGEST_EXTENSION} letters, digits and signs at most, and no spaces"
        raise NoLabel(thing="Location", code=place.code, problem=problem)
    return Label(place.code, place.name, [], [("414", own_gln()), ("254", place.code)])
