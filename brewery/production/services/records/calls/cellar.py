"""Cellar: pitches, additions, transfers, harvests, filtrations."""

from brewery.kernel.tables.reading import Row
from brewery.production.services.additions import add_to_tank
from brewery.production.services.filtrations import filter_beer
from brewery.production.services.harvests import harvest_yeast
from brewery.production.services.pitches import pitch as pitch_yeast
from brewery.production.services.records.calls.brewhouse import parts
from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, micro, micro_if_given, parts_of
from brewery.production.services.records.problems import Misfit
from brewery.production.services.records.rows import Record
from brewery.production.services.tank_readings import Measured, correct_reading, read_tanks
from brewery.production.services.transfers import transfer as transfer_beer
from brewery.science.units import MICRO, BaseUnit, unit_of
from inventory.models import Location
from inventory.queries.contents import contents_of
from inventory.queries.cultures import yeasts_in
from inventory.services.stock import Part


def pitch(record: Record, codes: Codes) -> Call:
    """A tank holds beer, of its wort and of the yeast on each line."""
    head = record.rows[0]
    content = {
        "vessel": codes.location(head, "vessel"),
        "beer": codes.material(head, "beer"),
        "contents_code": record["contents_lot"],
        "yeasts": parts(record, codes, "yeast_lot"),
        "happened_at": record.happened_at,
    }
    return Call(pitch_yeast, content)


def addition(record: Record, codes: Codes) -> Call:
    """A tank holds new contents, with what each line tells of."""
    head = record.rows[0]
    content = {
        "vessel": codes.location(head, "vessel"),
        "contents_code": record["contents_lot"],
        "additions": parts(record, codes),
        "volume_after_micro": micro_if_given(head, "volume_after", "volume_unit", BaseUnit.L),
        "happened_at": record.happened_at,
    }
    return Call(add_to_tank, content)


def transfer(record: Record, codes: Codes) -> Call:
    """Beer or wort went to another tank."""
    row = record.rows[0]
    content = {
        "kind": row["kind"],
        "from_vessel": codes.location(row, "from_vessel"),
        "to_vessel": codes.location(row, "to_vessel"),
        "quantity_micro": micro(row, "quantity", "unit", BaseUnit.L),
        "loss_micro": micro_if_given(row, "loss", "unit", BaseUnit.L) or 0,
        "contents_code": row["contents_lot"] or "",
        "unclean_reason": record["unclean_reason"] or "",
        "happened_at": record.happened_at,
    }
    return Call(transfer_beer, content)


def harvest(record: Record, codes: Codes) -> Call:
    """Yeast was taken from a tank, in kg or L, whichever that yeast is counted in."""
    row = record.rows[0]
    vessel = codes.location(row, "vessel")
    if not codes.handed_over_before:
        _refuse_other_units(row, vessel)
    content = {
        "vessel": vessel,
        "beer_micro": micro(row, "beer_quantity", "beer_unit", BaseUnit.L),
        "yeast_code": row["yeast_lot"],
        "yeast_micro": micro(row, "quantity", "unit", unit_of(row["unit"]).base),
        "location": codes.location(row, "location"),
        "unclean_reason": record["unclean_reason"] or "",
        "is_reported": True,
        "happened_at": record.happened_at,
    }
    return Call(harvest_yeast, content)


def _refuse_other_units(row: Row, vessel: Location) -> None:
    """Raise Misfit where the yeast at work in the vessel is counted in another unit. The service takes bare numbers."""
    contents = contents_of(vessel)
    for yeast in yeasts_in(contents) if contents else ():
        micro(row, "quantity", "unit", yeast.material.base_unit)


def filtration(record: Record, codes: Codes) -> Call:
    """Filtered beer lies in a tank; each line tells of one filter aid, or none does."""
    head = record.rows[0]
    content = {
        "from_vessel": codes.location(head, "from_vessel"),
        "to_vessel": codes.location(head, "to_vessel"),
        "contents_code": record["contents_lot"],
        "quantity_micro": micro(head, "quantity", "unit", BaseUnit.L),
        "loss_micro": micro_if_given(head, "loss", "unit", BaseUnit.L) or 0,
        "aids": [_aid(row, codes) for row in record.rows if _tells_of_aid(row)],
        "unclean_reason": record["unclean_reason"] or "",
        "happened_at": record.happened_at,
    }
    return Call(filter_beer, content)


_AID = ("aid_lot", "aid_location", "aid_quantity", "aid_unit")


def _tells_of_aid(row: Row) -> bool:
    """Return whether the line names a filter aid. Raises Misfit where it does so by halves."""
    empty = [column for column in _AID if row[column] is None]
    if empty and len(empty) < len(_AID):
        raise Misfit(row.line, empty[0], "It is empty, though the line tells of a filter aid.")
    return not empty


def _aid(row: Row, codes: Codes) -> Part:
    lot = codes.lot(row, "aid_lot")
    return Part(
        lot, codes.location(row, "aid_location"), micro(row, "aid_quantity", "aid_unit", lot.material.base_unit)
    )


def tank_readings(record: Record, codes: Codes) -> Call:
    """What each line says was read of a tank stands on record, or one reading in the place of one that was wrong."""
    if record["replaces"]:
        return _corrected(record, codes)
    readings = [
        Measured(
            vessel=codes.location(row, "vessel"),
            property=row["property"],
            value_micro=parts_of(row, "value", MICRO),
            happened_at=record.happened_at,
            remark=row["remark"] or "",
        )
        for row in record.rows
    ]
    return Call(read_tanks, {"readings": readings})


def _corrected(record: Record, codes: Codes) -> Call:
    row = record.rows[0]
    if len(record.rows) > 1:
        raise Misfit(record.rows[1].line, "replaces", "A record that corrects another has one line.")
    content = {
        "reading": codes.tank_reading(row, "replaces"),
        "value_micro": parts_of(row, "value", MICRO),
        "happened_at": record.happened_at,
        "reason": record["reason"] or "",
        "remark": row["remark"] or "",
    }
    return Call(correct_reading, content)
