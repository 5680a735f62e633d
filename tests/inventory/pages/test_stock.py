"""The pages of the stock, and the stock as a file: every quantity to the micro-unit."""

import csv
import io
import re
from datetime import timedelta
from typing import Any

import openpyxl
import pytest
from django.test import Client

from brewery.kernel.clock import brewery_day
from tests.brewhouse import Brewhouse, micro
from tests.inventory.stockroom import keep
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """H1 of 20 kg in two places, past its date; H2 of 10 kg on hold; M1 in a silo."""
    past = brewery_day() - timedelta(days=1)
    brewhouse.deliver("SAAZ", "H1", "20 kg", best_before=past, supplier="HOPYARD", supplier_lot="=cmd|x")
    brewhouse.deliver("SAAZ", "H2", "10 kg", best_before=past + timedelta(days=11), note="2")
    brewhouse.deliver("PILS", "M1", "12345.678901 kg", "SILO1", note="3")
    brewhouse.move("H1", "STORE", "COLD", "5.000001 kg", hours=1)
    brewhouse.decide("H2", "on_hold", hours=1)
    keep(brewhouse, "H1", "7.5 kg", "B1", brewery_day() + timedelta(days=1))
    return brewhouse


@pytest.fixture
def reader(client: Client, house: Brewhouse) -> Client:
    client.force_login(house.people["auditor"])
    return client


def text_of(answer: Any) -> str:
    assert answer.status_code == 200
    plain = re.sub("<[^>]+>", " ", answer.content.decode())
    return " ".join(plain.replace("\u202f", "").replace("\u00a0", " ").split())


def test_the_stock_by_material_is_exact(reader: Client):
    text = text_of(reader.get("/stock/"))
    assert "Pilsner malt PILS malt 1 12345.678901 kg 12345.678901 kg" in text
    assert "Saaz SAAZ hop 2 30 kg 10 kg 7.5 kg 12.5 kg 20 kg" in text
    assert "Gypsum" not in text.partition("On hand on")[2]
    assert "Gypsum GYPSUM salt 0 0 kg 0 kg" in text_of(reader.get("/stock/?all=on"))


def test_the_stock_by_lot_says_where_and_what_is_past(reader: Client):
    text = text_of(reader.get("/stock/lots/"))
    assert "H1 Saaz 20 kg 7.5 kg 12.5 kg Cold store : 5.000001 kg, Dry store : 14.999999 kg" in text.replace(
        "store:", "store :"
    )
    assert re.search(r"H1 .* released \d+ d \d+ \w+ \d+ past", text)
    assert "(10 d left)" in text


@pytest.mark.parametrize(
    ("asked", "codes"),
    [
        ("", ["H1", "H2", "M1"]),
        ("sort=code", ["H1", "H2", "M1"]),
        ("sort=newest", ["M1", "H2", "H1"]),
        ("sort=material", ["M1", "H1", "H2"]),
        ("kind=hop", ["H1", "H2"]),
        ("material=pils", ["M1"]),
        ("place=cold", ["H1"]),
        ("disposition=on_hold", ["H2"]),
        ("code=m", ["M1"]),
    ],
)
def test_the_lots_are_narrowed_and_sorted(reader: Client, asked: str, codes: list[str]):
    answer = reader.get(f"/stock/lots/?{asked}")
    assert re.findall(r'class="code" href="/stock/lots/\d+/">(\w+)<', answer.content.decode()) == codes


def test_what_expires_before_a_day_is_found(reader: Client):
    answer = reader.get(f"/stock/lots/?expiring_before={brewery_day().isoformat()}")
    assert re.findall(r'href="/stock/lots/\d+/">(\w+)<', answer.content.decode()) == ["H1"]


@pytest.mark.parametrize("view", ["", "lots/", "places/"])
def test_a_filter_that_cannot_be_is_told_beside_its_field(reader: Client, view: str):
    text = text_of(reader.get(f"/stock/{view}?material=GOLD"))
    assert "There is no material “GOLD”" in text


def test_the_stock_by_place_shows_each_lot_in_each_place(reader: Client):
    text = text_of(reader.get("/stock/places/?place=COLD"))
    assert "Cold store H1 Saaz 5.000001 kg" in text
    assert "14.999999" not in text


def test_a_long_list_is_shown_a_page_at_a_time(reader: Client, house: Brewhouse, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr("inventory.pages.stock.overview.PAGE", 2)
    first = reader.get("/stock/lots/?sort=code").content.decode()
    second = reader.get("/stock/lots/?sort=code&page=2").content.decode()
    assert re.findall(r'class="code" href="/stock/lots/\d+/">(\w+)<', first) == ["H1", "H2"]
    assert re.findall(r'class="code" href="/stock/lots/\d+/">(\w+)<', second) == ["M1"]
    assert 'href="?sort=code&amp;page=2"' in first
    assert 'href="?sort=code&amp;page=1"' in second
    assert 'rel="next"' not in second


def test_a_material_opens_to_its_lots_its_reservations_and_how_it_came_to_be(reader: Client, house: Brewhouse):
    text = text_of(reader.get(f"/stock/materials/{house.material('SAAZ').pk}/"))
    assert "Received from suppliers 30 kg On hand 30 kg" in text
    assert "B1 H1 7.5 kg 0 kg" in text
    assert "Cold store: 5.000001 kg" in text


def test_a_material_says_what_to_take_and_what_is_missing(reader: Client, house: Brewhouse):
    address = f"/stock/materials/{house.material('SAAZ').pk}/"
    text = text_of(reader.get(f"{address}?quantity=11+kg&use_on=2026-03-03"))
    assert "H1 Cold store 5.000001 kg loose" in text
    assert "Together 11 kg" in text
    text = text_of(reader.get(f"{address}?quantity=11"))
    assert "There is not enough: 11 kg of 11 kg is missing." in text
    assert "10 kg of H2 (on hold)" in text
    assert "is not a quantity" in text_of(reader.get(f"{address}?quantity=x"))
    assert reader.get("/stock/materials/99999/").status_code == 404


@pytest.mark.parametrize(("view", "most"), [("", 9), ("lots/", 8), ("places/", 7)])
def test_a_page_takes_the_same_few_queries_however_much_there_is(
    reader: Client, house: Brewhouse, view: str, most: int, django_assert_max_num_queries
):
    for number in range(9):
        with django_assert_max_num_queries(most):
            assert reader.get(f"/stock/{view}").status_code == 200
        house.deliver("CASCADE", f"X{number}", "5 kg", hours=9, note=f"X{number}")
        keep(house, f"X{number}", "1 kg", f"B{number}")


def csv_of(client: Client, asked: str) -> list[dict[str, str]]:
    answer = client.get(f"/stock/export/?{asked}")
    assert (answer.status_code, answer["Content-Type"]) == (200, "text/csv; charset=utf-8; header=present")
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")))


def test_the_stock_is_handed_out_as_csv_exact_and_with_nothing_to_run(reader: Client):
    lots = {row["lot"]: row for row in csv_of(reader, "view=lots&form=csv")}
    assert (lots["M1"]["on_hand"], lots["M1"]["unit"]) == ("12345.678901", "kg")
    assert (lots["H1"]["free"], lots["H1"]["past_best_before"], lots["H1"]["days_left"]) == ("12.5", "yes", "-1")
    assert lots["H1"]["supplier_lot"] == "'=cmd|x"
    assert lots["H1"]["where"] == "COLD 5.000001, STORE 14.999999"
    places = csv_of(reader, "view=places&form=csv&material=SAAZ")
    assert [(row["place"], row["lot"], row["quantity"]) for row in places] == [
        ("COLD", "H1", "5.000001"),
        ("STORE", "H1", "14.999999"),
        ("STORE", "H2", "10"),
    ]
    (saaz,) = csv_of(reader, "view=stock&form=csv&kind=hop&material=SAAZ")
    assert (saaz["on_hand"], saaz["held_back"], saaz["reserved"], saaz["free"]) == ("30", "10", "7.5", "12.5")
    assert (saaz["received"], saaz["drawn"]) == ("30", "0")


def test_a_csv_for_spreadsheets_begins_with_a_byte_order_mark(reader: Client):
    answer = reader.get("/stock/export/?view=lots&form=csv-bom")
    assert answer.content.startswith(b"\xef\xbb\xbflot,")
    assert not reader.get("/stock/export/?view=lots&form=csv").content.startswith(b"\xef\xbb\xbf")
    day = brewery_day().isoformat()
    assert answer["Content-Disposition"] == f'attachment; filename="stock-lots-{day}.csv"'


def test_the_stock_is_handed_out_as_a_workbook(reader: Client):
    answer = reader.get("/stock/export/?view=places&form=xlsx")
    sheet = openpyxl.load_workbook(io.BytesIO(answer.content)).active
    assert sheet is not None
    header, *rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    found = [dict(zip(header, row, strict=True)) for row in rows]
    quantities = {(row["lot"], row["place"]): row["quantity"] for row in found}
    assert round(sum(quantities.values()) * 1_000_000) == micro("12375.678901 kg")
    assert quantities["M1", "SILO1"] == 12345.678901
    assert {row["supplier_lot"] for row in found if row["lot"] == "H1"} == {"=cmd|x"}


@pytest.mark.parametrize("asked", ["", "view=lots", "view=lots&form=pdf", "view=lots&form=csv&kind=gold"])
def test_a_file_that_cannot_be_is_refused(reader: Client, asked: str):
    assert reader.get(f"/stock/export/?{asked}").status_code == 400
