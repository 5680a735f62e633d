"""The kinds of files: which there are, in what order they are taken, and what their columns hold.

This is data: the reader reads by it, and the description for people is held against it.
"""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from brewery.kernel.access import Role
from brewery.kernel.tables.cells import AMOUNT, CODE, DAY, QUANTITY, UNIT, WHOLE, WORDS, choice, text
from brewery.production.models import CustomerReturn
from brewery.production.services.records.cells import FIGURE
from brewery.production.services.records.columns import Column, Kind
from brewery.production.services.records.kind_forms import events, new, of_record, optional, register
from brewery.production.services.records.paper_kinds import (
    BREW_LOG,
    BREW_SHEETS,
    CERTIFICATES,
    CLIMATE_CORRECTIONS,
    CLIMATE_LIMITS,
    CLIMATE_READINGS,
    CONTACTS,
    CUSTOMER_ORDERS,
    LOT_COSTS,
    MATERIAL_SETTINGS,
    MINIMUM_LIVES,
    PACKAGING_RULES,
    PLACE_TEMPERATURES,
    PURCHASE_ORDERS,
    REORDER_SETTINGS,
    SPECIFICATIONS,
    STRAIN_SETTINGS,
    SUPPLY_CONTRACTS,
    TANK_READINGS,
)
from inventory.models import Location, Material, Party
from inventory.models.dispositions import Disposition
from inventory.services.cells import GENERATION, LOT

_FROM_A_PLACE = (Column("lot", LOT), Column("location", CODE), Column("quantity", AMOUNT), Column("unit", UNIT))
_BREW = text(20)
_UNCLEAN = optional("unclean_reason", WORDS)
_UNCLEAN_OF_RECORD = of_record("unclean_reason", WORDS, required=False)

_REGISTERS = (
    register(
        "people",
        new("person", text(150)),
        Column("name", text(120)),
        Column("role", choice(*Role)),
        names={"username": "person"},
    ),
    register(
        "materials",
        new("material", CODE),
        Column("name", text(120)),
        Column("kind", choice(*Material.Kind.values)),
        Column("unit", choice(*Material.BaseUnit.values)),
        Column("arrives", choice(Disposition.QUARANTINED.value, Disposition.RELEASED.value)),
        optional("contents", AMOUNT),
        optional("contents_unit", UNIT),
        names={"code": "material"},
    ),
    MATERIAL_SETTINGS,
    register(
        "parties",
        new("party", CODE),
        Column("name", text(120)),
        Column("role", choice(*Party.Role.values)),
        names={"code": "party"},
    ),
    CONTACTS,
    register(
        "locations",
        new("location", CODE),
        Column("name", text(120)),
        Column("kind", choice(*(kind.value for kind in Location.INSIDE if kind != Location.Kind.PROCESS))),
        optional("filling", choice(*Location.Filling.values)),
        optional("capacity", AMOUNT),
        optional("unit", UNIT),
        optional("temperature_c", FIGURE),
        optional("band", AMOUNT),
        names={"code": "location", "nominal_milli_c": "temperature_c"},
    ),
)

_EVENTS = (
    SPECIFICATIONS,
    STRAIN_SETTINGS,
    PACKAGING_RULES,
    PLACE_TEMPERATURES,
    CLIMATE_LIMITS,
    CLIMATE_READINGS,
    CLIMATE_CORRECTIONS,
    MINIMUM_LIVES,
    SUPPLY_CONTRACTS,
    REORDER_SETTINGS,
    PURCHASE_ORDERS,
    CUSTOMER_ORDERS,
    events(
        "deliveries",
        of_record("supplier", CODE),
        of_record("note_number", text(60)),
        Column("material", CODE),
        new("lot"),
        optional("supplier_lot", text(60)),
        Column("quantity", AMOUNT),
        Column("unit", UNIT),
        Column("location", CODE),
        optional("best_before", DAY),
        optional("generation", GENERATION),
        new("contents_lot", required=False),
        optional("order", text(40)),
        several_lines=True,
        names={"code": "lot", "order_line": "order"},
    ),
    LOT_COSTS,
    CERTIFICATES,
    events(
        "decisions",
        Column("lot", LOT),
        Column("decision", choice(*Disposition.values)),
        Column("reason", WORDS),
    ),
    BREW_SHEETS,
    events(
        "brews",
        new("brew", _BREW),
        Column("beer", CODE),
        optional("sheet_version", WHOLE),
        optional("cold_wort", AMOUNT),
        optional("unit", UNIT),
        names={"code": "brew", "sheet": "sheet_version"},
    ),
    events("packaging_runs", new("run", _BREW), Column("beer", CODE), names={"code": "run"}),
    events(
        "draws",
        of_record("into", _BREW),
        *_FROM_A_PLACE,
        of_record("override_reason", WORDS, required=False),
        of_record("reason", WORDS, required=False),
        optional("stands_in_for", CODE),
        optional("stands_in_because", text(200)),
        several_lines=True,
        names={"work": "into", "brew": "into", "run": "into", "stands_in": "stands_in_for"},
    ),
    events(
        "returns_to_stock",
        of_record("out_of", _BREW),
        *_FROM_A_PLACE,
        of_record("reason", WORDS, required=False),
        several_lines=True,
        names={"work": "out_of", "brew": "out_of", "run": "out_of"},
    ),
    BREW_LOG,
    events(
        "cleanings",
        Column("vessel", CODE),
        Column("programme", text(120)),
        optional("remark", WORDS),
    ),
    events(
        "knock_outs",
        of_record("brew", _BREW),
        of_record("wort_material", CODE),
        of_record("wort_lot", LOT, makes=True),
        Column("vessel", CODE),
        Column("quantity", QUANTITY),
        Column("unit", UNIT),
        new("contents_lot", required=False),
        _UNCLEAN_OF_RECORD,
        several_lines=True,
        names={"wort_code": "wort_lot", "code": "wort_lot", "loss": "quantity"},
    ),
    events(
        "pitches",
        of_record("vessel", CODE),
        of_record("beer", CODE),
        of_record("contents_lot", LOT, makes=True),
        Column("yeast_lot", LOT),
        Column("location", CODE),
        Column("quantity", AMOUNT),
        Column("unit", UNIT),
        several_lines=True,
        names={"yeasts": "yeast_lot", "lot": "yeast_lot", "code": "contents_lot"},
    ),
    events(
        "additions",
        of_record("vessel", CODE),
        of_record("contents_lot", LOT, makes=True),
        *_FROM_A_PLACE,
        of_record("volume_after", AMOUNT, required=False),
        of_record("volume_unit", UNIT, required=False),
        several_lines=True,
        names={"code": "contents_lot"},
    ),
    events(
        "transfers",
        Column("kind", choice("transfer", "kraeusen", "blend")),
        Column("from_vessel", CODE),
        Column("to_vessel", CODE),
        Column("quantity", AMOUNT),
        Column("unit", UNIT),
        optional("loss", QUANTITY),
        new("contents_lot", required=False),
        _UNCLEAN,
        names={"vessel": "from_vessel", "location": "to_vessel", "code": "contents_lot"},
    ),
    events(
        "harvests",
        Column("vessel", CODE),
        Column("beer_quantity", AMOUNT),
        Column("beer_unit", UNIT),
        new("yeast_lot"),
        Column("quantity", AMOUNT),
        Column("unit", UNIT),
        Column("location", CODE),
        _UNCLEAN,
        names={
            "quantity": "beer_quantity",
            "beer_micro": "beer_quantity",
            "yeast_micro": "quantity",
            "yeast_code": "yeast_lot",
            "code": "yeast_lot",
        },
    ),
    events(
        "filtrations",
        of_record("from_vessel", CODE),
        of_record("to_vessel", CODE),
        of_record("contents_lot", LOT, makes=True),
        of_record("quantity", AMOUNT),
        of_record("unit", UNIT),
        of_record("loss", QUANTITY, required=False),
        optional("aid_lot", LOT),
        optional("aid_location", CODE),
        optional("aid_quantity", AMOUNT),
        optional("aid_unit", UNIT),
        _UNCLEAN_OF_RECORD,
        several_lines=True,
        names={
            "vessel": "from_vessel",
            "location": "to_vessel",
            "code": "contents_lot",
            "aids": "aid_lot",
            "aids.lot": "aid_lot",
            "aids.location": "aid_location",
            "aids.quantity_micro": "aid_quantity",
        },
    ),
    TANK_READINGS,
    events(
        "packagings",
        Column("run", _BREW),
        Column("vessel", CODE),
        Column("material", CODE),
        new("packaged_lot"),
        Column("count", WHOLE),
        optional("loss", QUANTITY),
        optional("loss_unit", UNIT),
        Column("location", CODE),
        optional("best_before", DAY),
        names={"packaged_code": "packaged_lot", "code": "packaged_lot", "lot": "vessel", "quantity": "count"},
    ),
    events(
        "shipments",
        of_record("customer", CODE),
        of_record("note_number", text(60)),
        *_FROM_A_PLACE,
        of_record("order", text(40), required=False),
        of_record("carrier", text(80), required=False),
        of_record("vehicle", text(40), required=False),
        of_record("driver", text(80), required=False),
        of_record("seal", text(40), required=False),
        several_lines=True,
        names={"count": "quantity"},
    ),
    events(
        "customer_returns",
        of_record("customer", CODE),
        *_FROM_A_PLACE,
        of_record("reason", WORDS),
        of_record("cause", choice(*CustomerReturn.Cause.values), required=False),
        several_lines=True,
    ),
    events(
        "return_outcomes",
        Column("customer_return", CODE),
        Column("outcome", choice("restock", "destroy")),
        *_FROM_A_PLACE,
        optional("to_location", CODE),
        Column("reason", WORDS),
        names={"count": "quantity"},
    ),
    events(
        "moves",
        Column("lot", LOT),
        Column("from_location", CODE),
        Column("to_location", CODE),
        Column("quantity", AMOUNT),
        Column("unit", UNIT),
        new("contents_lot", required=False),
        names={"location": "to_location"},
    ),
    events(
        "counts",
        Column("location", CODE),
        Column("lot", LOT),
        Column("counted", QUANTITY),
        Column("unit", UNIT),
        optional("reason", WORDS),
        names={"quantity": "counted"},
    ),
    events("destructions", *_FROM_A_PLACE, Column("reason", WORDS)),
    events(
        "samples",
        Column("lot", LOT),
        Column("location", CODE),
        Column("laboratory", CODE),
        Column("quantity", AMOUNT),
        Column("unit", UNIT),
        optional("reason", WORDS),
    ),
    events(
        "retained_samples",
        Column("lot", LOT),
        Column("location", CODE),
        Column("laboratory", CODE),
        optional("shelf", text(40)),
        Column("count", WHOLE),
        Column("keep_until", DAY),
        names={"from_location": "location", "quantity": "count"},
    ),
    events("sample_disposals", Column("retained_sample", CODE), optional("reason", WORDS)),
)


def _by_name(kinds: Sequence[Kind]) -> Mapping[str, Kind]:
    return MappingProxyType({kind.name: kind for kind in kinds})


_PAPERS = (
    *(SPECIFICATIONS, STRAIN_SETTINGS, PACKAGING_RULES, PLACE_TEMPERATURES, MINIMUM_LIVES, PURCHASE_ORDERS),
    *(CUSTOMER_ORDERS, CERTIFICATES, BREW_SHEETS, BREW_LOG, TANK_READINGS),
    *(CLIMATE_LIMITS, CLIMATE_READINGS, CLIMATE_CORRECTIONS, SUPPLY_CONTRACTS, REORDER_SETTINGS, LOT_COSTS),
)
_NO_EVENTS = {
    *(kind.name for kind in _PAPERS),
    *("decisions", "brews", "packaging_runs", "cleanings", "return_outcomes", "retained_samples", "sample_disposals"),
}
_REVERSIBLE = tuple(kind.name for kind in _EVENTS if kind.name not in _NO_EVENTS)
_REVERSALS = events(
    "reversals",
    Column("reverses_file", choice(*(file for name in _REVERSIBLE for file in (name, f"{name}.csv")))),
    Column("reverses_record", CODE),
    Column("reason", WORDS),
    names={"event": "reverses_record"},
)

KINDS = _by_name((*_REGISTERS, *_EVENTS, _REVERSALS))
"""Every kind of file by its name, in the order in which records of the same time are taken."""
