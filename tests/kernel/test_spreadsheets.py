"""Tables as files: read back by others' readers, exact, and with nothing in them that a spreadsheet would run."""

import csv
import io
from datetime import date
from decimal import Decimal

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from brewery.kernel.services.spreadsheets import Amount, Cell, Table, book_bytes, csv_lines, xlsx_bytes
from brewery.science.units import format_micro, to_micro

DANGEROUS = ["=1+2", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "＝1", '=HYPERLINK("http://a.example")']


def table(*rows: list[Cell]) -> Table:
    return Table("Stock", [f"column {number}" for number in range(len(rows[0]))], rows)


def as_csv(*rows: list[Cell]) -> list[list[str]]:
    """Read the rows back with Python's own reader."""
    return list(csv.reader(io.StringIO("".join(csv_lines(table(*rows))), newline="")))[1:]


def as_xlsx(*rows: list[Cell]) -> list[list[object]]:
    """Read the rows back with openpyxl."""
    sheet = openpyxl.load_workbook(io.BytesIO(xlsx_bytes(table(*rows)))).active
    assert sheet is not None
    return [[cell.value for cell in row] for row in sheet.iter_rows(min_row=2)]


def test_a_table_has_its_header_first_and_lines_as_rfc_4180_ends_them():
    text = "".join(csv_lines(Table("Stock", ["a", "b"], [["x,y", None], ['say "so"', 3]])))
    assert text == 'a,b\r\n"x,y",\r\n"say ""so""",3\r\n'


def test_a_byte_order_mark_comes_first_where_it_is_asked_for():
    text = "".join(csv_lines(table(["Käse"]), byte_order_mark=True))
    assert text.encode().startswith(b"\xef\xbb\xbfcolumn 0\r\nK\xc3\xa4se")
    assert not "".join(csv_lines(table(["Käse"]))).startswith("\ufeff")


@pytest.mark.parametrize("text", DANGEROUS)
def test_what_a_spreadsheet_would_run_has_an_apostrophe_before_it_in_csv(text: str):
    assert as_csv([text, "x"]) == [[f"'{text}", "x"]]


@pytest.mark.parametrize("text", DANGEROUS)
def test_what_a_spreadsheet_would_run_is_text_in_xlsx(text: str):
    book = openpyxl.load_workbook(io.BytesIO(xlsx_bytes(table([text]))))
    cell = book.active["A2"]
    assert cell.data_type == "s"
    # XML turns a lone carriage return into an escape that openpyxl leaves as it is.
    assert str(cell.value).replace("_x000D_", "\r") == text
    assert cell.hyperlink is None


def test_a_quantity_below_zero_is_a_number_and_no_formula():
    assert as_csv([Amount(-1_500_000, "kg")]) == [["-1.5"]]
    assert as_xlsx([Amount(-1_500_000, "kg")]) == [[-1.5]]


def test_days_and_whole_numbers_are_what_they_are():
    assert as_csv([date(2026, 3, 2), 7, None]) == [["2026-03-02", "7", ""]]
    day, count, nothing = as_xlsx([date(2026, 3, 2), 7, None])[0]
    assert (str(day), count, nothing) == ("2026-03-02 00:00:00", 7, None)


@given(st.lists(st.integers(-(2**62), 2**62), min_size=1, max_size=20))
def test_every_quantity_comes_back_exact_to_the_micro_unit(quantities: list[int]):
    cells: list[Cell] = [Amount(micro, "kg") for micro in quantities]
    assert as_csv(cells)[0] == [format_micro(micro, "kg") for micro in quantities]
    content = xlsx_bytes(table(cells))
    theirs = CalamineWorkbook.from_filelike(io.BytesIO(content)).get_sheet_by_index(0).to_python()[1]
    ours = [cell.value for cell in openpyxl.load_workbook(io.BytesIO(content)).active[2]]
    for read in (ours, theirs):
        assert [
            to_micro(Decimal(repr(one) if isinstance(one, float) else str(one)), "kg") for one in read
        ] == quantities


def test_several_tables_are_a_sheet_each_in_one_workbook():
    book = openpyxl.load_workbook(io.BytesIO(book_bytes([Table("A", ["x"], [["=1"]]), Table("B", ["y"], [[2]])])))
    assert [(sheet.title, sheet["A1"].value, sheet["A2"].value) for sheet in book] == [("A", "x", "=1"), ("B", "y", 2)]
    assert [sheet.auto_filter.ref for sheet in book] == ["A1:A2", "A1:A2"]
