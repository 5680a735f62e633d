"""The kinds of files: which there are, in what order they are taken, and what their columns hold.

This is data: the reader reads by it, and the description for people is held against it.
"""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from brewery.kernel.access import Role
from brewery.kernel.tables.cells import (
    AMOUNT,
    CODE,
    DAY,
    MOMENT,
    QUANTITY,
    UNIT,
    WHOLE,
    WORDS,
    Form,
    choice,
    text,
)
from brewery.production.services.records.columns import Column, Kind
from inventory.models import Location, Material, Party
from inventory.models.dispositions import Disposition
from inventory.services.cells import GENERATION, LOT


def _of_record(name: str, form: Form, *, required: bool = True, makes: bool = False) -> Column:
    return Column(name, form, required=required, of_record=True, makes=makes)


def _new(name: str, form: Form = LOT, *, required: bool = True, of_record: bool = False) -> Column:
    return Column(name, form, required=required, of_record=of_record, makes=True)


def _optional(name: str, form: Form) -> Column:
    return Column(name, form, required=False)


def _register(name: str, *columns: Column, names: Mapping[str, str] = MappingProxyType({})) -> Kind:
    return Kind(name, columns, names=names)


def _events(
    name: str, *columns: Column, several_lines: bool = False, names: Mapping[str, str] = MappingProxyType({})
) -> Kind:
    head = (
        _of_record("record", CODE),
        _of_record("happened_at", MOMENT),
        _of_record("recorded_by", text(150)),
    )
    return Kind(name, (*head, *columns), several_lines=several_lines, names=names)


_FROM_A_PLACE = (Column("lot", LOT), Column("location", CODE), Column("quantity", AMOUNT), Column("unit", UNIT))
_BREW = text(20)

_REGISTERS = (
    _register(
        "people",
        _new("person", text(150)),
        Column("name", text(120)),
        Column("role", choice(*Role)),
        names={"username": "person"},
    ),
    _register(
        "materials",
        _new("material", CODE),
        Column("name", text(120)),
        Column("kind", choice(*Material.Kind.values)),
        Column("unit", choice(*Material.BaseUnit.values)),
        Column("arrives", choice(Disposition.QUARANTINED.value, Disposition.RELEASED.value)),
        _optional("contents", AMOUNT),
        _optional("contents_unit", UNIT),
        names={"code": "material"},
    ),
    _register(
        "parties",
        _new("party", CODE),
        Column("name", text(120)),
        Column("role", choice(*Party.Role.values)),
        names={"code": "party"},
    ),
    _register(
        "locations",
        _new("location", CODE),
        Column("name", text(120)),
        Column("kind", choice(*(kind.value for kind in Location.INSIDE if kind != Location.Kind.PROCESS))),
        _optional("filling", choice(*Location.Filling.values)),
        _optional("capacity", AMOUNT),
        _optional("unit", UNIT),
        names={"code": "location"},
    ),
)

_EVENTS = (
    _events(
        "deliveries",
        _of_record("supplier", CODE),
        _of_record("note_number", text(60)),
        Column("material", CODE),
        _new("lot"),
        _optional("supplier_lot", text(60)),
        Column("quantity", AMOUNT),
        Column("unit", UNIT),
        Column("location", CODE),
        _optional("best_before", DAY),
        _optional("generation", GENERATION),
        _new("contents_lot", required=False),
        several_lines=True,
        names={"code": "lot"},
    ),
    _events(
        "decisions",
        Column("lot", LOT),
        Column("decision", choice(*Disposition.values)),
        Column("reason", WORDS),
    ),
    _events("brews", _new("brew", _BREW), Column("beer", CODE), names={"code": "brew"}),
    _events("packaging_runs", _new("run", _BREW), Column("beer", CODE), names={"code": "run"}),
    _events(
        "draws",
        _of_record("into", _BREW),
        *_FROM_A_PLACE,
        _of_record("override_reason", WORDS, required=False),
        several_lines=True,
        names={"work": "into", "brew": "into", "run": "into"},
    ),
    _events(
        "returns_to_stock",
        _of_record("out_of", _BREW),
        *_FROM_A_PLACE,
        _of_record("reason", WORDS, required=False),
        several_lines=True,
        names={"work": "out_of", "brew": "out_of", "run": "out_of"},
    ),
    _events(
        "knock_outs",
        _of_record("brew", _BREW),
        _of_record("wort_material", CODE),
        _of_record("wort_lot", LOT, makes=True),
        Column("vessel", CODE),
        Column("quantity", QUANTITY),
        Column("unit", UNIT),
        _new("contents_lot", required=False),
        several_lines=True,
        names={"wort_code": "wort_lot", "code": "wort_lot", "loss": "quantity"},
    ),
    _events(
        "pitches",
        _of_record("vessel", CODE),
        _of_record("beer", CODE),
        _of_record("contents_lot", LOT, makes=True),
        Column("yeast_lot", LOT),
        Column("location", CODE),
        Column("quantity", AMOUNT),
        Column("unit", UNIT),
        several_lines=True,
        names={"yeasts": "yeast_lot", "lot": "yeast_lot", "code": "contents_lot"},
    ),
    _events(
        "additions",
        _of_record("vessel", CODE),
        _of_record("contents_lot", LOT, makes=True),
        *_FROM_A_PLACE,
        _of_record("volume_after", AMOUNT, required=False),
        _of_record("volume_unit", UNIT, required=False),
        several_lines=True,
        names={"code": "contents_lot"},
    ),
    _events(
        "transfers",
        Column("kind", choice("transfer", "kraeusen", "blend")),
        Column("from_vessel", CODE),
        Column("to_vessel", CODE),
        Column("quantity", AMOUNT),
        Column("unit", UNIT),
        _optional("loss", QUANTITY),
        _new("contents_lot", required=False),
        names={"vessel": "from_vessel", "location": "to_vessel", "code": "contents_lot"},
    ),
    _events(
        "harvests",
        Column("vessel", CODE),
        Column("beer_quantity", AMOUNT),
        Column("beer_unit", UNIT),
        _new("yeast_lot"),
        Column("quantity", AMOUNT),
        Column("unit", UNIT),
        Column("location", CODE),
        names={
            "quantity": "beer_quantity",
            "beer_micro": "beer_quantity",
            "yeast_micro": "quantity",
            "yeast_code": "yeast_lot",
            "code": "yeast_lot",
        },
    ),
    _events(
        "filtrations",
        _of_record("from_vessel", CODE),
        _of_record("to_vessel", CODE),
        _of_record("contents_lot", LOT, makes=True),
        _of_record("quantity", AMOUNT),
        _of_record("unit", UNIT),
        _of_record("loss", QUANTITY, required=False),
        _optional("aid_lot", LOT),
        _optional("aid_location", CODE),
        _optional("aid_quantity", AMOUNT),
        _optional("aid_unit", UNIT),
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
    _events(
        "packagings",
        Column("run", _BREW),
        Column("vessel", CODE),
        Column("material", CODE),
        _new("packaged_lot"),
        Column("count", WHOLE),
        _optional("loss", QUANTITY),
        _optional("loss_unit", UNIT),
        Column("location", CODE),
        _optional("best_before", DAY),
        names={"packaged_code": "packaged_lot", "code": "packaged_lot", "lot": "vessel", "quantity": "count"},
    ),
    _events(
        "shipments",
        _of_record("customer", CODE),
        _of_record("note_number", text(60)),
        *_FROM_A_PLACE,
        several_lines=True,
    ),
    _events(
        "customer_returns",
        _of_record("customer", CODE),
        *_FROM_A_PLACE,
        _of_record("reason", WORDS),
        several_lines=True,
    ),
    _events(
        "moves",
        Column("lot", LOT),
        Column("from_location", CODE),
        Column("to_location", CODE),
        Column("quantity", AMOUNT),
        Column("unit", UNIT),
        _new("contents_lot", required=False),
        names={"location": "to_location"},
    ),
    _events(
        "counts",
        Column("location", CODE),
        Column("lot", LOT),
        Column("counted", QUANTITY),
        Column("unit", UNIT),
        _optional("reason", WORDS),
        names={"quantity": "counted"},
    ),
    _events("destructions", *_FROM_A_PLACE, Column("reason", WORDS)),
    _events(
        "samples",
        Column("lot", LOT),
        Column("location", CODE),
        Column("laboratory", CODE),
        Column("quantity", AMOUNT),
        Column("unit", UNIT),
        _optional("reason", WORDS),
    ),
)


def _by_name(kinds: Sequence[Kind]) -> Mapping[str, Kind]:
    return MappingProxyType({kind.name: kind for kind in kinds})


_REVERSIBLE = tuple(kind.name for kind in _EVENTS if kind.name not in ("decisions", "brews", "packaging_runs"))
_REVERSALS = _events(
    "reversals",
    Column("reverses_file", choice(*(file for name in _REVERSIBLE for file in (name, f"{name}.csv")))),
    Column("reverses_record", CODE),
    Column("reason", WORDS),
    names={"event": "reverses_record"},
)

KINDS = _by_name((*_REGISTERS, *_EVENTS, _REVERSALS))
"""Every kind of file by its name, in the order in which records of the same time are taken."""
