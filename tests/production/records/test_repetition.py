"""What was handed over before: the same again changes nothing, other content is refused naming the column."""

import pytest

from brewery.production.services.records.kinds import KINDS
from brewery.production.services.records.loading import load_folder
from inventory.models import Lot
from tests.production.records.papers import papers, write
from tests.production.records.snapshot import rows_written

pytestmark = pytest.mark.django_db

CHANGED = [
    ("people", 0, {"name": "Ada Rivers"}, "name"),
    ("people", 0, {"role": "quality"}, "role"),
    ("materials", 0, {"name": "Pale malt"}, "name"),
    ("materials", 0, {"unit": "each"}, "unit"),
    ("materials", 7, {"contents": "30"}, "contents"),
    ("material_settings", 0, {"delivery_tolerance_pct": "2"}, "delivery_tolerance_pct"),
    ("material_settings", 0, {"open_days": "9"}, "open_days"),
    ("material_settings", 0, {"allergens": "barley; wheat"}, "allergens"),
    ("material_settings", 1, {"warmest_arrival_c": ""}, "warmest_arrival_c"),
    ("parties", 0, {"role": "customer"}, "role"),
    ("contacts", 0, {"phone": "030 23125 008"}, "phone"),
    ("contacts", 0, {"at_night": ""}, "at_night"),
    ("strain_settings", 0, {"rate": "0.8"}, "rate"),
    ("packaging_rules", 0, {"l_prefix": ""}, "l_prefix"),
    ("place_temperatures", 0, {"temperature_c": ""}, "temperature_c"),
    ("lot_costs", 0, {"unit_cost": "0.43"}, "unit_cost"),
    ("climate_limits", 0, {"most_c": "5"}, "most_c"),
    ("climate_readings", 1, {"temperature_c": "2.6"}, "temperature_c"),
    ("climate_corrections", 0, {"counts": "yes"}, "counts"),
    ("climate_readings", 0, {"read_at": "2026-03-08 06:10"}, "read_at"),
    ("supply_contracts", 0, {"quantity": "61"}, "quantity"),
    ("reorder_settings", 0, {"service_pct": "95"}, "service_pct"),
    ("reorder_settings", 0, {"pack": ""}, "pack"),
    ("purchase_orders", 1, {"contract": ""}, "contract"),
    ("customer_orders", 0, {"count": "6"}, "count"),
    ("return_outcomes", 0, {"reason": "Sound"}, "reason"),
    ("retained_samples", 0, {"shelf": "A 4"}, "shelf"),
    ("sample_disposals", 0, {"reason": "Shelf"}, "reason"),
    ("minimum_lives", 0, {"days": "31"}, "days"),
    ("locations", 2, {"capacity": "21"}, "capacity"),
    ("locations", 2, {"filling": "layered"}, "filling"),
    ("locations", 1, {"temperature_c": "-1"}, "temperature_c"),
    ("specifications", 0, {"most": "5.3"}, "most"),
    ("purchase_orders", 1, {"quantity": "6"}, "quantity"),
    ("purchase_orders", 0, {"due_on": "2026-03-03"}, "due_on"),
    ("deliveries", 1, {"quantity": "20"}, "quantity"),
    ("deliveries", 1, {"best_before": "2027-01-01"}, "best_before"),
    ("deliveries", 5, {"note_number": "N-3"}, "note_number"),
    ("deliveries", 5, {"recorded_by": "ben"}, "recorded_by"),
    ("deliveries", 5, {"contents_lot": "S9"}, "contents_lot"),
    ("deliveries", 4, {"order": ""}, "order"),
    ("certificates", 0, {"value": "3.5"}, "value"),
    ("certificates", 2, {"lot": "M1"}, "lot"),
    ("decisions", 0, {"decision": "rejected"}, "decision"),
    ("decisions", 0, {"lot": "M1"}, "lot"),
    ("brew_sheets", 0, {"amount": "15.4"}, "amount"),
    ("brews", 1, {"cold_wort": "15.1"}, "cold_wort"),
    ("brews", 0, {"happened_at": "2026-03-03 05:59"}, "happened_at"),
    ("packaging_runs", 0, {"happened_at": "2026-03-20 07:00+00:00"}, "happened_at"),
    ("draws", 2, {"into": "BREW-1"}, "into"),
    ("draws", 2, {"lot": "M2"}, "lot"),
    ("draws", 3, {"quantity": "13"}, "quantity"),
    ("returns_to_stock", 0, {"reason": "Two sacks too many"}, "reason"),
    ("brew_log", 0, {"value": "52"}, "value"),
    ("brew_log", 3, {"words": "It boiled over"}, "words"),
    ("cleanings", 0, {"programme": "steam"}, "programme"),
    ("knock_outs", 0, {"quantity": "11"}, "quantity"),
    ("knock_outs", 3, {"contents_lot": "F-9"}, "contents_lot"),
    ("knock_outs", 3, {"wort_lot": "W-9"}, "wort_lot"),
    ("pitches", 0, {"yeast_lot": "Y2"}, "yeast_lot"),
    ("additions", 0, {"volume_after": "1899"}, "volume_after"),
    ("transfers", 0, {"loss": ""}, "loss"),
    ("harvests", 0, {"quantity": "21"}, "quantity"),
    ("harvests", 0, {"beer_quantity": "21"}, "beer_quantity"),
    ("filtrations", 0, {"aid_quantity": "3"}, "aid_quantity"),
    ("filtrations", 0, {"quantity": "1801"}, "quantity"),
    ("tank_readings", 1, {"value": "9.3"}, "value"),
    ("tank_readings", 3, {"reason": "Foam"}, "reason"),
    ("packagings", 0, {"count": "11"}, "count"),
    ("shipments", 0, {"location": "COLD"}, "location"),
    ("customer_returns", 0, {"quantity": "2"}, "quantity"),
    ("moves", 0, {"from_location": "COLD"}, "from_location"),
    ("counts", 0, {"counted": "98"}, "counted"),
    ("destructions", 0, {"reason": "Another one"}, "reason"),
    ("samples", 0, {"happened_at": "2026-03-24 09:01"}, "happened_at"),
    ("reversals", 0, {"reverses_record": "V1"}, "reverses_record"),
]


def test_the_same_folder_again_changes_nothing(folder, loaded):
    before = rows_written()
    tallies = load_folder(write(folder, papers()))
    assert sum(tally.new for tally in tallies) == 0
    assert {tally.file: tally.already_there for tally in tallies} == {tally.file: tally.records for tally in tallies}
    assert rows_written() == before


def test_the_same_content_in_other_words_is_the_same(folder, loaded):
    tables = papers()
    tables["deliveries"][1] |= {"quantity": "20.000", "unit": "kg", "happened_at": "2026-03-02 07:00Z"}
    for row in tables["deliveries"][:5]:
        row["happened_at"] = "2026-03-02 07:00Z"
    assert sum(tally.new for tally in load_folder(write(folder, tables))) == 0


def test_changed_content_is_refused_naming_the_column(problems_of, folder, loaded):
    before = rows_written()
    told = []
    for name, row, cells, _ in CHANGED:
        tables = papers()
        tables[name][row] |= cells
        (problem,) = problems_of(tables)
        assert "was loaded before with another content" in problem.reason
        told.append((problem.file, problem.line, problem.column))
    assert told == [(f"{name}.csv", row + 2, column) for name, row, _, column in CHANGED]
    assert rows_written() == before


def test_every_kind_of_file_has_a_changed_example_here():
    assert {name for name, *_ in CHANGED} == set(KINDS)


def test_a_line_less_is_refused(problems_of, loaded):
    tables = papers()
    del tables["draws"][1]
    (problem,) = problems_of(tables)
    assert (problem.file, problem.line, problem.column) == ("draws.csv", 2, "record")
    assert "another number of lines" in problem.reason


def test_new_records_beside_old_ones_are_written(folder, loaded):
    tables = papers()
    tables["moves"].append(dict(tables["moves"][0], record="V3", happened_at="2026-03-27 08:00"))
    tallies = load_folder(write(folder, tables))
    assert [(tally.file, tally.new, tally.already_there) for tally in tallies if tally.new] == [("moves.csv", 1, 2)]


def test_a_lot_whose_code_was_given_again_after_a_reversal_is_still_the_same_content(folder):
    """W-2 is knocked out, gauged, both are reversed, and it is knocked out again under the same code."""
    tables = papers()
    for row in tables["knock_outs"][3:]:
        row["vessel"], row["contents_lot"] = "BT1", ""
    again = dict(tables["knock_outs"][3], record="O3", happened_at="2026-03-03 20:00", quantity="850")
    tables["knock_outs"].append(again)
    gauge = {"record": "N2", "happened_at": "2026-03-03 18:00", "location": "BT1", "lot": "W-2", "counted": "890"}
    tables["counts"].append(tables["counts"][0] | gauge | {"unit": "L"})
    found = {"happened_at": "2026-03-03 19:00", "recorded_by": "ada", "reason": "Wrong brew"}
    tables["reversals"] += [
        {"record": "I2", "reverses_file": "counts.csv", "reverses_record": "N2"} | found,
        {"record": "I3", "reverses_file": "knock_outs", "reverses_record": "O2"} | found,
    ]
    for row in tables["filtrations"]:
        row["to_vessel"] = "FV2"
    tables["cleanings"].append(
        tables["cleanings"][0] | {"record": "K2", "happened_at": "2026-03-11 08:00", "vessel": "FV2"}
    )
    tables["packagings"][0]["vessel"] = "FV2"
    tables["transfers"][0] |= {"quantity": "499", "loss": "1"}
    tables["additions"][0]["volume_after"] = "990"
    tables["filtrations"][0]["quantity"] = "1300"
    load_folder(write(folder, tables))
    assert [lot.made_micro for lot in Lot.objects.filter(code="W-2")] == [900_000_000, 850_000_000]
    assert sum(tally.new for tally in load_folder(folder)) == 0
