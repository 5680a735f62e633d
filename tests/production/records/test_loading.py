"""Records become what their services make of them: each kind once as it should be and once as it should not."""

import random
from datetime import UTC, date, datetime

import pytest

from brewery.kernel.models import User
from brewery.production.models import Brew, BrewSheet, PackagingRun, ReturnOutcome, Substitution, TankReading
from brewery.production.queries.customer_orders import customer_orders, progress_of_order
from brewery.production.queries.retained_samples import kept_samples
from brewery.production.queries.sheet_contents import content_of
from brewery.production.queries.sheets import sheets_in_full
from brewery.production.services.records import loading
from brewery.production.services.records.kinds import KINDS
from brewery.production.services.records.loading import load_folder
from inventory.models import (
    Balance,
    Certificate,
    Decision,
    Delivery,
    Event,
    Link,
    Location,
    Lot,
    Material,
    MinimumLife,
    Party,
    PartyContact,
)
from inventory.queries.audits import run_audits
from inventory.queries.orders import order_lines, progress_of
from tests.production.records.bad_cells import BAD
from tests.production.records.papers import Papers, papers, write
from tests.production.records.snapshot import record_by_codes, rows_written

M = 1_000_000

pytestmark = pytest.mark.django_db


def held(lot: str, place: str) -> float:
    return Balance.objects.get(lot__code=lot, location__code=place).quantity_micro / M


def test_every_kind_of_file_has_an_example_here():
    assert list(papers()) == list(KINDS)


def test_every_record_is_counted(folder):
    tallies = load_folder(write(folder, papers()))
    assert [tally.file for tally in tallies] == [kind.file for kind in KINDS.values()]
    assert {tally.file: tally.lines for tally in tallies} == {
        f"{name}.csv": len(rows) for name, rows in papers().items()
    }
    assert [tally.new for tally in tallies] == [tally.records for tally in tallies]
    assert next(tally.records for tally in tallies if tally.file == "deliveries.csv") == 2


def test_the_ledger_agrees_with_its_postings_afterwards(loaded):
    assert [finding for _, findings in run_audits() for finding in findings] == []


def test_people_can_be_named_but_cannot_sign_in(loaded):
    ada = User.objects.get(username="ada")
    assert (ada.get_full_name(), [group.name for group in ada.groups.all()]) == ("Ada Brook", ["receiving"])
    assert not ada.has_usable_password()


def test_somebody_who_is_there_already_keeps_name_and_password(folder):
    User.objects.create_user(username="ada", first_name="Adelaide", password="a password of her own")
    load_folder(write(folder, papers()))
    ada = User.objects.get(username="ada")
    assert ada.first_name == "Adelaide"
    assert ada.check_password("a password of her own")
    assert [group.name for group in ada.groups.all()] == ["receiving"]


def test_registers_are_entered(loaded):
    assert Material.objects.get(code="KEG").contents_micro == 50 * M
    assert Material.objects.get(code="SAAZ").arrives == "quarantined"
    assert Party.objects.get(code="INN").role == "customer"
    silo, tank = Location.objects.get(code="SILO"), Location.objects.get(code="FV1")
    assert (silo.filling, silo.capacity_micro, silo.capacity_unit) == ("mixed", 20_000 * M, "kg")
    assert (tank.filling, tank.capacity_micro, tank.capacity_unit) == ("", 4_000 * M, "L")


def test_deliveries_make_lots_and_refill_silos(loaded):
    malt = Lot.objects.get(code="M1")
    assert (malt.supplier_lot, str(malt.best_before), malt.made_micro) == ("SM-77", "2027-03-01", 5_000 * M)
    assert malt.made_by.actor.username == "ada"
    assert malt.made_by.reference == "N-1"
    assert Lot.objects.get(code="S1").made_micro == 7_000 * M
    assert Lot.objects.get(code="Y1").generation == 1


def test_decisions_are_told_with_their_reason(loaded):
    told = Decision.objects.values_list("lot__code", "after", "reason", "actor__username")
    assert list(told) == [
        ("H1", "released", "Aroma is sound", "cleo"),
        ("H1", "on_hold", "Smells of cheese", "cleo"),
    ]


def test_brews_and_runs_are_under_way(loaded):
    assert list(Brew.objects.order_by("code").values_list("code", flat=True)) == ["BREW-1", "BREW-2", "BREW-3"]
    assert PackagingRun.objects.get(code="RUN-1").beer.code == "LAGER"


def test_draws_and_returns_lie_where_they_should(loaded):
    assert held("S1", "SILO") == 7_000 - 320 - 300 + 20
    assert held("H1", "BREW-3") == 1
    assert Event.objects.get(kind="draw", override_reason__gt="").override_reason == "The cheese is wanted in this one"


def test_the_cellar_s_records_make_new_contents(loaded):
    assert Lot.objects.get(code="W-1").made_micro == 1_530 * M
    assert Lot.objects.get(code="F-2").made_micro == 1_900 * M
    assert Lot.objects.get(code="F-3").made_micro == 1_898 * M
    assert Lot.objects.get(code="F-4").made_micro == (1_898 - 20 + 50) * M
    assert Lot.objects.get(code="Y2").generation == 2
    assert Lot.objects.get(code="BB-1").made_micro == 1_820 * M
    assert Link.objects.get(child__code="BB-1", parent__code="A1").kind == Link.Kind.CARRYOVER


def test_packaged_beer_goes_out_and_comes_back(loaded):
    assert held("KEG-1", "customer:INN") == 3
    assert held("KEG-1", "COLD") == 2
    assert held("KEG-1", "LAB") == 1
    assert held("KEG-1", "destroyed") == 2
    assert held("KEG-1", "STORE") == 2
    (line,) = progress_of_order(customer_orders().get(number="SO-1")).lines
    assert (line.shipped, line.open) == (4, 1)
    assert ReturnOutcome.objects.get().customer_return.cause == "damaged"
    assert not kept_samples().exists()
    assert str(Lot.objects.get(code="KEG-1").best_before) == "2026-09-20"


def test_counts_say_what_was_found_and_reversals_cancel(loaded):
    assert held("A1", "STORE") == 97.5
    reversal = Event.objects.get(kind="reverse")
    assert (reversal.reverses.kind, reversal.reason) == ("move", "It stayed where it was")


def test_settings_hold(loaded):
    malt, hops = Material.objects.get(code="PILS"), Material.objects.get(code="SAAZ")
    assert (malt.allergens, malt.is_of_animal_origin, malt.shelf_life_days) == (["barley"], False, 365)
    assert (malt.delivery_tolerance_ppm, malt.count_tolerance_ppm) == (15_000, 20_000)
    assert (hops.claims, hops.warmest_arrival_milli_c) == (["gluten_free", "vegan"], 8_000)
    assert Location.objects.get(code="COLD").nominal_milli_c == -1_500


def test_contacts_and_what_customers_ask_are_known(loaded):
    told = PartyContact.objects.values_list("party__code", "name", "phone", "is_reachable_at_night")
    assert list(told) == [("INN", "Rose Hill", "030 23125 007", True)]
    assert list(MinimumLife.objects.values_list("party__code", "material__code", "days")) == [("INN", "KEG", 30)]


def test_limits_and_certificates_judge(folder):
    tables = papers()
    tables["certificates"][1]["value"] = "5.3"
    tables["draws"] = [row for row in tables["draws"] if row["record"] == "W3"]
    only = {"people", "materials", "material_settings", "parties", "locations", "specifications", "certificates"}
    load_folder(
        write(folder, {name: tables[name] for name in (*only, "supply_contracts", "purchase_orders", "deliveries")})
    )
    told = {decision.lot.code: decision.reason for decision in Decision.objects.select_related("lot")}
    assert told.keys() == {"M1"}
    assert "Moisture" in told["M1"]
    certificate = Certificate.objects.get(lot__code="M1")
    assert (certificate.number, str(certificate.issued_on), certificate.laboratory) == (
        "M-77",
        "2026-02-27",
        "Stow Maltings",
    )
    assert certificate.values.get(property="colour").method == "EBC 4.7.1"


def test_what_was_ordered_counts_as_come(loaded):
    told = {one.line.material.code: one for one in progress_of(order_lines())}
    assert {code: (one.ordered_micro / M, one.received_micro / M) for code, one in told.items()} == {
        "PILS": (5_000, 5_000),
        "CROWN": (12_000, 10_000),
    }
    assert told["PILS"].line.order.ordered_on == date(2026, 2, 23)
    assert Event.objects.get(reference="N-1").delivery.lines.count() == 5
    assert not Delivery.objects.filter(event__reference="N-2").exists()


def test_a_brew_sheet_says_what_its_lines_say(loaded):
    sheet = BrewSheet.objects.get()
    assert (sheet.version, sheet.state, sheet.beer.code) == (1, "in_use", "LAGER")
    assert sheet.put_in_use_at == sheet.written_at == datetime(2026, 3, 1, 7, tzinfo=UTC)
    content = content_of(sheets_in_full().get())
    assert (content.cold_wort_micro, content.original_gravity_milli_p, content.yield_ppm) == (
        1_530 * M,
        12_000,
        765_000,
    )
    assert (content.is_filtered, content.note, content.mash_liquor_micro) == (True, "Keep the boil rolling", 1_200 * M)
    assert [(grain.material.code, grain.weight_micro) for grain in content.grains] == [("PILS", 300 * M)]
    assert [(hop.stage, hop.minutes, hop.weight_micro, hop.alpha_micro) for hop in content.hops] == [
        ("boil", 60, 2 * M, None),
        ("cold", 4320, None, 36_000),
    ]
    assert [(step.action, step.temperature_milli_c) for step in content.mash_steps] == [
        ("mash_in", 52_000),
        ("rest", 66_500),
    ]
    assert (content.cellar_steps[0].days, content.ions[0].milli_mg_per_l) == (8, 50_500)
    assert [material.code for material in content.formats] == ["KEG"]


def test_brews_follow_their_sheet_and_keep_a_log(loaded):
    one, two = Brew.objects.get(code="BREW-1"), Brew.objects.get(code="BREW-2")
    assert (one.sheet.version, one.cold_wort_micro) == (1, 1_530 * M)
    assert two.cold_wort_micro == 1_520 * M
    assert Brew.objects.get(code="BREW-3").sheet is None
    told = [(entry.step, entry.value_micro, entry.is_hot, entry.reason) for entry in one.log.all()]
    assert told == [
        ("mash", 52_500_000, False, ""),
        ("kettle_full", 1_750 * M, True, ""),
        ("kettle_full", 1_705 * M, True, "Read off the wrong scale"),
        ("boil", None, False, ""),
    ]
    assert one.log.get(value_micro=1_705 * M).replaces == one.log.get(value_micro=1_750 * M)


def test_tanks_were_read_and_one_reading_was_corrected(loaded):
    told = TankReading.objects.order_by("happened_at", "vessel", "property")
    assert [(one.vessel.code, one.lot.code, one.property, one.value_micro, one.remark) for one in told] == [
        ("FV1", "F-2", "gravity", 8_400_000, ""),
        ("FV1", "F-2", "temperature", 9_200_000, "Cooling is on"),
        ("FV2", "W-1", "temperature", -500_000, ""),
        ("FV1", "F-2", "gravity", 7_900_000, ""),
    ]
    right = TankReading.objects.exclude(replaces=None).get()
    assert (right.replaces, right.reason) == (told[0], "Read through foam")


def test_all_that_is_wrong_with_a_round_is_told_line_by_line(problems_of):
    tables = papers()
    tables["tank_readings"] = tables["tank_readings"][:3]
    tables["tank_readings"][0] |= {"value": "84"}
    tables["tank_readings"][2] |= {"vessel": "BT1"}
    told = {(problem.file, problem.line, problem.column) for problem in problems_of(tables)}
    assert told == {("tank_readings.csv", 2, "value"), ("tank_readings.csv", 4, "value")}


def test_a_record_that_corrects_two_readings_is_refused(problems_of):
    tables = papers()
    tables["tank_readings"].append(tables["tank_readings"][3] | {"property": "temperature"})
    (problem,) = problems_of(tables)
    assert (problem.file, problem.column) == ("tank_readings.csv", "replaces")
    assert "has one line" in problem.reason


def test_a_lot_that_stands_in_says_for_what_and_why(folder):
    tables = papers()
    tables["deliveries"].append(dict(tables["deliveries"][1], record="D3", happened_at="2026-03-02 08:10", lot="W1"))
    tables["deliveries"][-1] |= {"material": "WHEAT", "quantity": "99", "unit": "kg"}
    tables["materials"].append(dict(tables["materials"][0], material="WHEAT", name="Wheat malt"))
    part = {"lot": "W1", "location": "STORE", "quantity": "3", "stands_in_for": "PILS", "stands_in_because": "No more"}
    tables["draws"].append(dict(tables["draws"][2], **part))
    load_folder(write(folder, tables))
    told = Substitution.objects.values_list("brew__code", "wanted__code", "lot__code", "reason")
    assert list(told) == [("BREW-2", "PILS", "W1", "No more")]


def test_all_that_is_wrong_with_a_certificate_is_told(problems_of):
    tables = papers()
    tables["certificates"][0] |= {"value": "-4"}
    tables["certificates"][1] |= {"value": "wet"}
    told = {(problem.line, problem.column) for problem in problems_of(tables)}
    assert told == {(2, "value"), (3, "value")}


def test_a_move_into_a_silo_that_holds_something_makes_new_contents(folder):
    tables = papers()
    tables["locations"].append({"location": "SILO2", "name": "Silo 2", "kind": "silo", "filling": "mixed"})
    line = dict(tables["deliveries"][0], record="D3", lot="M3", location="SILO2", happened_at="2026-03-02 08:30")
    tables["deliveries"].append(line)
    tables["moves"].append(
        dict(tables["moves"][0], record="V3", lot="M3", from_location="SILO2", to_location="SILO", quantity="3")
        | {"unit": "t", "contents_lot": "S2", "happened_at": "2026-03-04 08:00"}
    )
    load_folder(write(folder, tables))
    assert Lot.objects.get(code="S2").made_micro == (7_000 - 600 + 3_000) * M


@pytest.mark.parametrize(("name", "row", "cells", "column", "why"), BAD)
def test_a_bad_record_is_told_with_line_and_column_and_nothing_is_written(problems_of, name, row, cells, column, why):
    before = rows_written()
    tables = papers()
    tables[name][row] |= cells
    problem = problems_of(tables)[0]
    assert (problem.file, problem.line, problem.column) == (f"{name}.csv", row + 2, column)
    assert why in problem.reason
    assert rows_written() == before


def test_every_kind_of_file_has_a_bad_example_here():
    assert {name for name, *_ in BAD} == set(KINDS)


def test_what_needs_a_refused_record_says_so(problems_of):
    tables = papers()
    tables["deliveries"][5]["contents_lot"] = ""
    tables["deliveries"][1]["material"] = "HOPS"
    told = {(problem.file, problem.line): problem.reason for problem in problems_of(tables)}
    assert told["decisions.csv", 2] == "'H1' was to come from deliveries.csv, line 3, which is refused."


def test_what_only_the_database_refuses_is_told_in_words(problems_of, folder):
    """A party's place in the ledger bears a code made of the party's; somebody gave it to a store before."""
    place = {"location": "supplier:HOPYARD", "name": "A store", "kind": "store"}
    load_folder(write(folder, {"locations": [place]}))
    (problem,) = problems_of({"parties": [{"party": "HOPYARD", "name": "Hop yard", "role": "supplier"}]})
    assert (problem.file, problem.line, problem.column) == ("parties.csv", 2, "party")
    assert problem.reason.startswith("The database refuses: ")


def test_after_many_refusals_the_rest_is_not_tried(folder, monkeypatch):
    monkeypatch.setattr(loading, "MOST_REFUSALS", 2)
    tables = papers()
    for row in tables["materials"][:3]:
        row["contents"], row["contents_unit"] = "5", "L"
    with pytest.raises(loading.RecordsRefused) as refused:
        load_folder(write(folder, tables))
    assert [problem.line for problem in refused.value.problems] == [2, 3]
    assert refused.value.stopped


def shuffled(tables: Papers, seed: int) -> Papers:
    dice = random.Random(seed)
    names = dice.sample(list(tables), len(tables))
    return {name: dice.sample(tables[name], len(tables[name])) for name in names}


@pytest.mark.parametrize("seed", range(3))
def test_the_order_of_files_and_rows_does_not_matter(folder, seed):
    records = []

    def look(done: int, of: int) -> None:
        if done == of:
            records.append(record_by_codes())

    load_folder(write(folder, papers()), check=True, progress=look)
    load_folder(write(folder, shuffled(papers(), seed)), progress=look)
    assert records[0]["balances"]
    assert records[0] == records[1]


def test_records_of_the_same_minute_are_taken_by_kind_and_number(folder):
    """Four kegs can leave the cold store only after three came in: V10 follows V9, as people count."""
    tables = papers()
    minute = {"happened_at": "2026-03-22 09:00", "lot": "KEG-1"}
    tables["moves"] += [
        {
            **tables["moves"][0],
            **minute,
            "record": "V10",
            "from_location": "COLD",
            "to_location": "STORE",
            "quantity": "4",
        },
        {**tables["moves"][0], **minute, "record": "V9", "quantity": "3"},
    ]
    load_folder(write(folder, tables))
    assert held("KEG-1", "COLD") == 2 + 3 - 4 - 1 + 1
