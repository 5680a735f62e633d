"""Records become what their services make of them: each kind once as it should be and once as it should not."""

import random

import pytest

from brewery.kernel.models import User
from brewery.production.models import Brew, PackagingRun
from brewery.production.services.records import loading
from brewery.production.services.records.kinds import KINDS
from brewery.production.services.records.loading import load_folder
from inventory.models import Balance, Decision, Event, Link, Location, Lot, Material, Party
from inventory.queries.audits import run_audits
from tests.production.records.papers import Papers, papers, write
from tests.production.records.snapshot import record_by_codes, rows_written

M = 1_000_000

pytestmark = pytest.mark.django_db


@pytest.fixture
def loaded(folder):
    """The small brewery's papers are on record."""
    load_folder(write(folder, papers()))


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
    assert held("KEG-1", "COLD") == 1
    assert held("KEG-1", "LAB") == 1
    assert held("KEG-1", "destroyed") == 1
    assert held("KEG-1", "STORE") == 4
    assert str(Lot.objects.get(code="KEG-1").best_before) == "2026-09-20"


def test_counts_say_what_was_found_and_reversals_cancel(loaded):
    assert held("A1", "STORE") == 97.5
    reversal = Event.objects.get(kind="reverse")
    assert (reversal.reverses.kind, reversal.reason) == ("move", "It stayed where it was")


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


BAD = [
    ("people", 0, {"person": "ada brook"}, "person", "valid username"),
    ("materials", 0, {"contents": "5", "contents_unit": "L"}, "contents", "Packaged beer, and nothing else"),
    ("materials", 7, {"contents_unit": ""}, "contents_unit", "needs a unit"),
    ("materials", 7, {"contents_unit": "kg"}, "contents_unit", "not a quantity in L"),
    ("parties", 0, {"role": "haulier"}, "role", "supplier, customer"),
    ("locations", 0, {"filling": "mixed"}, "filling", "A silo, and nothing else"),
    ("locations", 2, {"unit": ""}, "unit", "needs a unit"),
    ("deliveries", 5, {"generation": "2"}, "generation", "Yeast, and nothing else"),
    ("deliveries", 1, {"unit": "L"}, "unit", "not a quantity in kg"),
    ("deliveries", 1, {"quantity": "0"}, "quantity", "above zero"),
    ("deliveries", 5, {"lot": "M1"}, "lot", "in use already"),
    ("deliveries", 5, {"contents_lot": ""}, "contents_lot", "still holds lot M1"),
    ("deliveries", 5, {"supplier": "INN"}, "supplier", "is a customer"),
    ("deliveries", 5, {"quantity": "16000"}, "quantity", "takes 20000 kg"),
    ("counts", 0, {"happened_at": "2999-01-01 08:00"}, "happened_at", "has not come yet"),
    ("deliveries", 5, {"recorded_by": "nobody"}, "recorded_by", "no person 'nobody'"),
    ("decisions", 0, {"lot": "H9"}, "lot", "no lot 'H9'"),
    ("brews", 0, {"beer": "WORT"}, "beer", "needs a beer"),
    ("brews", 1, {"brew": "BREW-1"}, "brew", "in use already"),
    ("packaging_runs", 0, {"run": "STORE"}, "run", "in use already"),
    ("draws", 0, {"quantity": "7001"}, "quantity", "holds 7000 kg of lot S1"),
    ("draws", 1, {"location": "COLD"}, "quantity", "Cold store holds 0 kg of lot H1"),
    ("draws", 0, {"lot": "W-1"}, "lot", "no lot 'W-1' by then"),
    ("draws", 4, {"override_reason": ""}, "lot", "on hold"),
    ("draws", 4, {"recorded_by": "ben"}, "override_reason", "needs the right"),
    ("draws", 2, {"into": "BREW-9"}, "into", "no brew or packaging run"),
    ("draws", 2, {"into": "BREW-1"}, "into", "was knocked out"),
    ("returns_to_stock", 0, {"quantity": "321"}, "quantity", "holds 320 kg"),
    ("knock_outs", 0, {"vessel": "STORE"}, "vessel", "Dry store is a store"),
    ("knock_outs", 3, {"wort_material": "LAGER"}, "wort_material", "needs a wort"),
    ("knock_outs", 3, {"contents_lot": ""}, "contents_lot", "code of the new contents"),
    ("knock_outs", 2, {"unit": "kg"}, "unit", "not a quantity in L"),
    ("pitches", 0, {"yeast_lot": "H1", "location": "STORE"}, "yeast_lot", "needs yeast"),
    ("pitches", 0, {"vessel": "BT1"}, "vessel", "holds nothing"),
    ("additions", 0, {"unit": "L"}, "unit", "not a quantity in kg"),
    ("additions", 0, {"volume_unit": ""}, "volume_unit", "needs a unit"),
    ("transfers", 0, {"quantity": "5000"}, "quantity", "500 L"),
    ("transfers", 0, {"contents_lot": ""}, "contents_lot", "code of the new contents"),
    ("transfers", 0, {"to_vessel": "FV2"}, "to_vessel", "another tank"),
    ("harvests", 0, {"unit": "L"}, "unit", "not a quantity in kg"),
    ("harvests", 0, {"beer_quantity": "1901"}, "beer_quantity", "holds 1898 L"),
    ("harvests", 0, {"vessel": "FV2"}, "vessel", "never pitched"),
    ("filtrations", 0, {"aid_lot": ""}, "aid_lot", "filter aid"),
    ("filtrations", 0, {"aid_lot": "K1"}, "aid_unit", "not a quantity in each"),
    ("filtrations", 0, {"aid_quantity": "101"}, "aid_quantity", "holds 100 kg"),
    ("packagings", 0, {"count": "1000"}, "count", "holds 1800 L"),
    ("packagings", 0, {"material": "LAGER"}, "material", "needs packaged beer"),
    ("shipments", 0, {"lot": "K1"}, "lot", "needs packaged beer"),
    ("customer_returns", 0, {"quantity": "5"}, "quantity", "holds 4 each"),
    ("moves", 0, {"to_location": "FV1"}, "to_location", "Fermenter 1 is a fermenter"),
    ("counts", 0, {"reason": ""}, "reason", "needs a reason"),
    ("destructions", 0, {"quantity": "6"}, "quantity", "holds 5 each"),
    ("samples", 0, {"laboratory": "STORE"}, "laboratory", "needs a laboratory"),
    ("reversals", 0, {"reverses_record": "V9"}, "reverses_record", "No record 'V9' of moves.csv"),
]


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
    assert held("KEG-1", "COLD") == 2 + 3 - 4 - 1
