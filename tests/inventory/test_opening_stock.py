"""Opening stock: a CSV file of lots, read in whole and once, or told line by line."""

import uuid
from datetime import date
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from brewery.kernel.errors import SeveralFaults
from brewery.kernel.models import Request
from inventory.models import Decision, Event, Lot
from inventory.queries.audits import run_audits
from inventory.queries.stock import lots_on_hand
from inventory.services.opening_stock import StockReadBefore, read_in_opening_stock
from inventory.services.refusals import OverCapacity, VesselNotClean
from tests.api.client import Api, fields_of, problem_of
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import postings, refused

HEADER = (
    "lot,material,quantity,unit,place,best_before,disposition,supplier,supplier_lot,package_size,crop_year,generation"
)
GOOD = f"""{HEADER}
H1,SAAZ,19.5,kg,STORE,2027-06-30,,HOPYARD,77-A,5,2025,
H2,SAAZ,400,g,COLD,,on_hold,,,,,
M1,MUNICH,1.2,t,SILO2,,released,,,,,
Y1,YEAST,20,kg,BRINK1,,,,,,,2
"""


def read(house: Brewhouse, text: str | bytes = GOOD, **more: Any) -> Event:
    content = text if isinstance(text, bytes) else text.encode()
    asked = {"name": "stock.csv", "content": content, "happened_at": at(0), **house.by("administration"), **more}
    return read_in_opening_stock(**asked)


def faults(house: Brewhouse, text: str | bytes) -> list[str]:
    """Return what is told of a bad file, which leaves nothing behind."""
    with pytest.raises(SeveralFaults) as refusal:
        read(house, text)
    assert (Lot.objects.count(), Event.objects.count()) == (0, 0)
    assert not Request.objects.filter(action="read_in_opening_stock").exists()
    return [str(fault) for fault in refusal.value.all_faults()]


def test_every_line_is_a_lot_in_its_place(brewhouse: Brewhouse):
    event = read(brewhouse)
    assert event.kind == Event.Kind.RECEIVE
    assert postings(event) == {
        ("H1", "supplier:HOPYARD", "STORE", "19.5 kg"),
        ("H2", "supplier:before", "COLD", "0.4 kg"),
        ("M1", "supplier:before", "SILO2", "1200 kg"),
        ("Y1", "supplier:before", "BRINK1", "20 kg"),
    }
    h1 = brewhouse.lot("H1")
    assert (h1.supplier, h1.supplier_lot, h1.best_before) == (brewhouse.party("HOPYARD"), "77-A", date(2027, 6, 30))
    assert (h1.package_micro, h1.crop_year, brewhouse.lot("Y1").generation) == (micro("5 kg"), 2025, 2)
    assert [finding for _, findings in run_audits() for finding in findings] == []


def test_a_lot_may_be_used_as_its_line_says_and_that_is_on_record(brewhouse: Brewhouse):
    read(brewhouse)
    told = {lot.code: lot.disposition for lot in lots_on_hand()}
    assert told == {"H1": "released", "H2": "on_hold", "M1": "released", "Y1": "released"}
    decisions = {(one.lot.code, one.before, one.after) for one in Decision.objects.select_related("lot")}
    assert decisions == {("H2", "released", "on_hold"), ("M1", "quarantined", "released")}


def test_the_same_request_reads_it_in_once(brewhouse: Brewhouse):
    who = brewhouse.by("administration")
    assert read(brewhouse, **who) == read(brewhouse, **who)
    assert Lot.objects.count() == 4


def test_the_same_file_is_read_in_once_whatever_it_is_called(brewhouse: Brewhouse):
    read(brewhouse)
    with pytest.raises(StockReadBefore) as refusal:
        read(brewhouse, name="again.csv")
    assert str(refusal.value).startswith("administration read this very file in on 20")
    assert Lot.objects.count() == 4


def test_a_file_that_was_reversed_can_be_read_in_again(brewhouse: Brewhouse):
    brewhouse.reverse(read(brewhouse, f"{HEADER}\nH1,SAAZ,1,kg,STORE,,,,,,,\n"))
    read(brewhouse, f"{HEADER}\nH1,SAAZ,1,kg,STORE,,,,,,,\n")
    assert brewhouse.held("H1", "STORE") == micro("1 kg")


def test_all_that_is_wrong_is_told_by_line_column_and_value(brewhouse: Brewhouse):
    text = f"""{HEADER}
H1,SAAZ,19.5,kg,STORE,30.6.2027,,,,,,
H 2,SAAZ,0,kg,STORE,,,,,,,
H3,GOLD,1,kg,STORE,,,,,,,
"""
    told = faults(brewhouse, text)
    assert told[0].startswith("Line 2, best_before, “30.6.2027”: '30.6.2027' is no date")
    assert [one.partition(":")[0] for one in told[1:]] == ["Line 3, lot, “H 2”", "Line 3, quantity, “0”"]


def test_what_names_nothing_on_record_or_cannot_be_is_told_too(brewhouse: Brewhouse):
    text = f"""{HEADER}
H3,GOLD,1,kg,STORE,,,,,,,
H4,SAAZ,1,L,STORE,,,,,,,
H5,SAAZ,1,kg,FV1,,,,,,,
H6,SAAZ,1,kg,STORE,,,INN,,,,
H6,SAAZ,1,kg,STORE,,,,,,,
H7,SAAZ,99999999999999999,kg,STORE,,,,,,,
"""
    assert faults(brewhouse, text) == [
        "Line 2, material, “GOLD”: There is no material of this code.",
        "Line 3, unit, “L”: Saaz is counted in kg.",
        "Line 4, place, “FV1”: There is no store, silo, brink or pallet of this code.",
        "Line 5, supplier, “INN”: There is no supplier of this code.",
        "Line 6, lot, “H6”: Line 5 bears it already.",
        "Line 7, quantity, “99999999999999999”: 99999999999999999 kg is more than the record can hold; "
        "split it or check the unit.",
    ]


def test_a_vessel_takes_one_lot_and_a_silo_one_material(brewhouse: Brewhouse):
    text = f"""{HEADER}
Y1,YEAST,20,kg,BRINK1,,,,,,,1
Y2,YEAST,20,kg,BRINK1,,,,,,,1
M1,PILS,20,kg,SILO2,,,,,,,
M2,PILS,20,kg,SILO2,,,,,,,
M3,MUNICH,20,kg,SILO2,,,,,,,
"""
    assert faults(brewhouse, text) == [
        "Line 3, place, “BRINK1”: It holds lot Y1, by line 2, and takes one lot at a time.",
        "Line 6, place, “SILO2”: It holds lot M1, by line 4, and takes one material at a time.",
    ]


def test_what_lies_there_already_counts(brewhouse: Brewhouse):
    brewhouse.deliver("PILS", "M1", "10 kg", "SILO1")
    with pytest.raises(SeveralFaults) as refusal:
        read(brewhouse, f"{HEADER}\nM1,PILS,1,kg,STORE,,,,,,,\nM2,PILS,1,kg,SILO1,,,,,,,\n")
    assert [str(fault) for fault in refusal.value.all_faults()] == [
        "Line 2, lot, “M1”: A lot on record bears it already.",
        "Line 3, place, “SILO1”: It holds lot M1, and takes one lot at a time.",
    ]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "It is empty"),
        (HEADER.encode(), "It names columns and has no lines."),
        (b"lot,material\nH1,SAAZ\n", "The column is missing."),
        (GOOD.replace(",", ";").encode(), "save it with commas"),
        (GOOD.encode("utf-16"), "It is in UTF-16"),
        (GOOD.replace("77-A", "é").encode("latin-1"), "is not UTF-8"),
        (f"{HEADER},colour\n".encode(), "There is no such column"),
        (f'{HEADER}\n"H1'.encode(), "cannot be taken apart"),
    ],
)
def test_a_file_that_is_none_is_told_as_what_it_is(brewhouse: Brewhouse, content: bytes, words: str):
    assert words in " ".join(faults(brewhouse, content))


def test_a_long_file_takes_as_many_statements_as_it_has_parts(brewhouse: Brewhouse, django_assert_max_num_queries):
    lines = "".join(f"L{number},SAAZ,1.000001,kg,STORE,,on_hold,,,,,\n" for number in range(2000))
    with django_assert_max_num_queries(100):
        event = read(brewhouse, f"{HEADER}\n{lines}")
    assert event.made_lots.count() == 2000
    assert sum(balance.quantity_micro for balance in brewhouse.place("STORE").balances.all()) == 2000 * 1_000_001


def upload(text: str = GOOD) -> SimpleUploadedFile:
    return SimpleUploadedFile("stock.csv", text.encode(), content_type="text/csv")


def test_the_api_reads_it_in_or_tells_every_line(brewhouse: Brewhouse):
    client = Api(brewhouse).client("administration")

    def sent(text: str, key: uuid.UUID) -> Any:
        headers = {"Idempotency-Key": str(key)}
        return client.post("/api/v1/opening-stock/", {"file": upload(text)}, format="multipart", headers=headers)

    problem = problem_of(sent(GOOD.replace("SAAZ", "GOLD"), uuid.uuid4()), 400)
    assert (problem["code"], fields_of(problem)) == ("file_refused", ["file", "file"])
    key = uuid.uuid4()
    first, again = sent(GOOD, key), sent(GOOD, key)
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.json() == again.json()
    assert {lot["code"] for lot in first.json()["made_lots"]} == {"H1", "H2", "M1", "Y1"}


def test_the_page_reads_it_in_or_tells_every_line(client: Client, brewhouse: Brewhouse):
    client.force_login(brewhouse.people["administration"])
    assert 'href="/stock/opening/"' in client.get("/stock/").content.decode()
    assert "package_size" in client.get("/stock/opening/").content.decode()
    form = {"request_id": str(uuid.uuid4()), "file": upload(GOOD.replace("COLD", "MARS"))}
    answer = client.post("/stock/opening/", form)
    assert answer.status_code == 400
    assert "Line 3, place, “MARS”: There is no store" in answer.content.decode()
    form = {"request_id": str(uuid.uuid4()), "file": upload()}
    answer = client.post("/stock/opening/", form, follow=True)
    assert "4 lots are in stock." in answer.content.decode()


def test_what_does_not_fit_is_refused_whole(brewhouse: Brewhouse):
    place = brewhouse.place("STORE")
    type(place).objects.filter(pk=place.pk).update(capacity_micro=micro("10 kg"), capacity_unit="kg")
    with pytest.raises(OverCapacity):
        read(brewhouse)
    assert not Lot.objects.exists()


def test_an_opening_stock_into_an_uncleaned_brink_says_why(brewhouse: Brewhouse):
    brewhouse.deliver("YEAST", "Y9", "1 kg", "BRINK1", hours=-2)
    brewhouse.destroy("Y9", "BRINK1", "1 kg", hours=-1)
    with refused(VesselNotClean, "Yeast brink 1 was not cleaned after lot Y9 had lain in it.", field="unclean_reason"):
        read(brewhouse)
    event = read(brewhouse, unclean_reason="rinsed only")
    assert event.unclean_fills.get().reason == "rinsed only"
