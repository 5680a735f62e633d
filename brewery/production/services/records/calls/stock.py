"""Stock: deliveries, decisions, moves, cleaning, climates, counts, destructions, samples, and reversals of anything."""

from brewery.kernel.tables.reading import Row
from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes, micro, parts_if_given, parts_of
from brewery.production.services.records.rows import Record
from inventory.services.cleanings import clean_vessel
from inventory.services.climate_corrections import correct_climate
from inventory.services.climates import Logged, set_climate_limit, take_climate_readings
from inventory.services.counts import count_stock
from inventory.services.decisions import decide_on_lot
from inventory.services.deliveries import ReceivedLot, receive_delivery
from inventory.services.disposals import destroy, take_sample
from inventory.services.moves import move_stock
from inventory.services.reversals import reverse_event
from inventory.services.warmths import keep_place_at


def delivery(record: Record, codes: Codes) -> Call:
    """Every line is a lot that came in."""
    content = {
        "supplier": codes.party(record.rows[0], "supplier"),
        "note_number": record["note_number"],
        "lines": [_line(row, codes) for row in record.rows],
        "happened_at": record.happened_at,
    }
    return Call(receive_delivery, content)


def _line(row: Row, codes: Codes) -> ReceivedLot:
    material = codes.material(row, "material")
    return ReceivedLot(
        material=material,
        code=row["lot"],
        quantity_micro=micro(row, "quantity", "unit", material.base_unit),
        location=codes.location(row, "location"),
        supplier_lot=row["supplier_lot"] or "",
        best_before=row["best_before"],
        generation=row["generation"],
        contents_code=row["contents_lot"] or "",
        order_line=codes.order_line(row, "order", material) if row["order"] else None,
    )


def decision(record: Record, codes: Codes) -> Call:
    """A lot is released, held, rejected or quarantined."""
    content = {
        "lot": codes.lot(record.rows[0], "lot"),
        "disposition": record["decision"],
        "reason": record["reason"],
        "happened_at": record.happened_at,
    }
    return Call(decide_on_lot, content)


def move(record: Record, codes: Codes) -> Call:
    """A quantity of a lot went to another place; in a mixed silo that holds something, as part of new contents."""
    row = record.rows[0]
    lot = codes.lot(row, "lot")
    content = {
        "lot": lot,
        "from_location": codes.location(row, "from_location"),
        "to_location": codes.location(row, "to_location"),
        "quantity_micro": micro(row, "quantity", "unit", lot.material.base_unit),
        "contents_code": row["contents_lot"] or "",
        "happened_at": record.happened_at,
    }
    return Call(move_stock, content)


def count(record: Record, codes: Codes) -> Call:
    """A lot was counted, or a vessel gauged."""
    row = record.rows[0]
    lot = codes.lot(row, "lot")
    content = {
        "lot": lot,
        "location": codes.location(row, "location"),
        "counted_micro": micro(row, "counted", "unit", lot.material.base_unit),
        "reason": row["reason"] or "",
        "happened_at": record.happened_at,
    }
    return Call(count_stock, content)


def destruction(record: Record, codes: Codes) -> Call:
    """A quantity of a lot was destroyed."""
    row = record.rows[0]
    lot = codes.lot(row, "lot")
    content = {
        "lot": lot,
        "location": codes.location(row, "location"),
        "quantity_micro": micro(row, "quantity", "unit", lot.material.base_unit),
        "reason": row["reason"],
        "happened_at": record.happened_at,
    }
    return Call(destroy, content)


def cleaning(record: Record, codes: Codes) -> Call:
    """A vessel was cleaned."""
    row = record.rows[0]
    content = {
        "vessel": codes.location(row, "vessel"),
        "programme": row["programme"],
        "remark": row["remark"] or "",
        "happened_at": record.happened_at,
    }
    return Call(clean_vessel, content)


def place_temperature(record: Record, codes: Codes) -> Call:
    """A place is kept so warm from then on."""
    row = record.rows[0]
    content = {
        "location": codes.location(row, "location"),
        "milli_c": parts_if_given(row, "temperature_c", 1_000),
        "since": record.happened_at,
    }
    return Call(keep_place_at, content)


def climate_limit(record: Record, codes: Codes) -> Call:
    """A place must keep to the limits from then on; without any it need not."""
    row = record.rows[0]
    content = {
        "location": codes.location(row, "location"),
        "since": record.happened_at,
        "least_milli_c": parts_if_given(row, "least_c", 1_000),
        "most_milli_c": parts_if_given(row, "most_c", 1_000),
        "silent_minutes": row["silent_minutes"],
    }
    tolerated = row["tolerated_minutes"]
    return Call(set_climate_limit, content if tolerated is None else content | {"tolerated_minutes": tolerated})


def climate_readings(record: Record, codes: Codes) -> Call:
    """What a logger read in its place, a line each."""
    location = codes.location(record.rows[0], "location")
    readings = [
        Logged(location, record["logger"], row["read_at"], parts_of(row, "temperature_c", 1_000)) for row in record.rows
    ]
    return Call(take_climate_readings, {"readings": readings})


def climate_correction(record: Record, codes: Codes) -> Call:
    """What a logger read in its place does not count, or counts again."""
    row = record.rows[0]
    content = {
        "location": codes.location(row, "location"),
        "logger": row["logger"],
        "first_at": row["first_at"],
        "last_at": row["last_at"],
        "counts": row["counts"] == "yes",
        "reason": row["reason"],
    }
    return Call(correct_climate, content)


def sample(record: Record, codes: Codes) -> Call:
    """A quantity of a lot went to the laboratory."""
    row = record.rows[0]
    lot = codes.lot(row, "lot")
    content = {
        "lot": lot,
        "location": codes.location(row, "location"),
        "laboratory": codes.location(row, "laboratory"),
        "quantity_micro": micro(row, "quantity", "unit", lot.material.base_unit),
        "reason": row["reason"] or "",
        "happened_at": record.happened_at,
    }
    return Call(take_sample, content)


def reversal(record: Record, codes: Codes) -> Call:
    """Another record was a mistake. It cancels at that record's own time; its own time only says when to take it."""
    event = codes.event(record.rows[0], "reverses_file", "reverses_record")
    return Call(reverse_event, {"event": event, "reason": record["reason"]})
