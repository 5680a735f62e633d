"""Delivery files as people really hand them over: read in whole, or refused with each bad cell by its place."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.models import DeliveryLine
from inventory.services.attachments import FileTooLarge
from inventory.services.delivery_files import (
    COLUMNS,
    LARGEST_BYTES,
    MOST_TOLD,
    FileReadBefore,
    FileRefused,
    read_in_lines,
    rows_of,
)
from inventory.services.draft_refusals import DraftBooked
from inventory.services.orders import OrderedLine, enter_order
from tests.brewhouse import START, Brewhouse, micro, rid
from tests.inventory.dock import Dock
from tests.standing import built_once

HEADER = "material,supplier_lot,quantity,note_quantity,unit,location\n"
GOOD = "SAAZ,SZ-25,5.2,5,kg,COLD\n"


@built_once
def dock(brewhouse: Brewhouse) -> Dock:
    return Dock(brewhouse)


def read(dock: Dock, draft, content: str | bytes, name: str = "lines.csv", **more):
    """Read a file into the draft; return the lines."""
    sent = content if isinstance(content, bytes) else content.encode()
    read_in_lines(delivery=draft, name=name, content=sent, **{**dock.who, **more})
    draft.refresh_from_db()
    return list(draft.lines.select_related("material", "location", "order_line__order").order_by("position"))


def refused(dock: Dock, content: str | bytes) -> list[str]:
    """Return what is told of the file, of which nothing was read in."""
    draft = dock.open()
    with pytest.raises(FileRefused) as told:
        read(dock, draft, content)
    assert not draft.lines.exists()
    assert dock.version(draft) == 1
    return [str(fault) for fault in told.value.faults]


def test_every_column_is_taken(dock: Dock):
    enter_order(
        number="PO-1",
        supplier=dock.house.party("HOPYARD"),
        ordered_on=START.date(),
        lines=[OrderedLine(dock.house.material("SAAZ"), micro("20 kg"), START.date())],
        **dock.who,
    )
    names = ",".join(column.name for column in COLUMNS)
    row = "SAAZ,SZ-25,5200,5000,g,1,5000,2028-01-31,2025,COLD,095212345000000018,PO-1,H1,C1,,a bag had burst"
    draft = dock.open()
    (line,) = read(dock, draft, f"{names}\n{row}\n")
    assert (line.material.code, line.supplier_lot, line.location.code) == ("SAAZ", "SZ-25", "COLD")
    assert (line.quantity_micro, line.note_quantity_micro, line.package_micro) == (
        micro("5.2 kg"),
        micro("5 kg"),
        micro("5 kg"),
    )
    assert (line.quantity_typed, line.package_count, line.crop_year) == ("5200 g", 1, 2025)
    assert (line.lot_code, line.contents_code, line.sscc) == ("H1", "C1", "095212345000000018")
    assert (line.order_line.order.number, line.difference_reason) == ("PO-1", "a bag had burst")
    assert str(line.best_before) == "2028-01-31"
    assert dock.book(draft).state == "booked"


def test_a_material_alone_is_enough_and_the_rest_is_filled_in(dock: Dock):
    first, second = read(dock, dock.open(), "material\nSAAZ\nYEAST\n")
    assert (first.lot_code, first.quantity_micro, second.generation) == ("HO260302-01", None, 1)


@pytest.mark.parametrize(
    "content",
    [
        HEADER + GOOD,
        "\ufeff" + HEADER + GOOD,
        (HEADER + GOOD).replace("\n", "\r\n"),
        (HEADER + GOOD).replace("SZ-25", '"SZ-25"'),
        "unit,location,quantity,material,supplier_lot\nkg,COLD,5.2,SAAZ,SZ-25",
    ],
    ids=["plain", "byte order mark", "CRLF", "quotes", "columns in another order"],
)
def test_a_file_is_read_however_it_was_saved(dock: Dock, content: str):
    (line,) = read(dock, dock.open(), content)
    assert (line.supplier_lot, line.quantity_micro, line.location.code) == ("SZ-25", micro("5.2 kg"), "COLD")


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "Line 1: It is empty"),
        (HEADER, "Line 1: It names columns and has no lines."),
        ((HEADER + GOOD).encode("utf-16"), "lines.csv: It is in UTF-16; save it as CSV in UTF-8."),
        ((HEADER + "SAAZ,Hüll,5,5,kg,COLD\n").encode("latin-1"), "Line 2, supplier_lot: Byte 0xfc is not UTF-8"),
        (HEADER.encode() + b"SAAZ,\x00,5,5,kg,COLD\n", "Line 2, supplier_lot: There is a NUL character"),
        (b"%PDF-1.7 \xff\xfe", "Line 1: Byte 0xff is not UTF-8"),
        (HEADER + 'SAAZ,"SZ-25,5,5,kg,COLD\n', "Line 2: The line cannot be taken apart"),
        (HEADER.replace(",", ";") + GOOD, "Line 1: Its cells stand apart by semicolons or tabs"),
        (HEADER.replace("unit", "unit,colour") + GOOD, "Line 1, colour: There is no such column"),
        (HEADER.replace("unit", "unit,unit") + GOOD, "Line 1, unit: The column is there twice."),
        ("supplier_lot\nSZ-25\n", "Line 1, material: The column is missing."),
        (HEADER + "SAAZ,SZ-25,5\n", "Line 2: The line has 3 cells where the header has 6."),
        (HEADER + GOOD + "\n" + GOOD, "Line 3: The line is blank; remove it."),
        (HEADER + ",SZ-25,5,5,kg,COLD\n", "Line 2, material: It is empty and must be given."),
        (HEADER + "NOHOP,SZ-25,5,5,kg,COLD\n", "Line 2, material, “NOHOP”: There is no material of this code."),
        (HEADER + "SAAZ,SZ-25,five,5,kg,COLD\n", "Line 2, quantity, “five”: 'five' is no quantity"),
        (HEADER + "SAAZ,SZ-25,0,5,kg,COLD\n", "Line 2, quantity, “0”: It must be above zero."),
        (HEADER + "SAAZ,SZ-25,5,5,L,COLD\n", "Line 2, unit, “L”: Saaz is counted in kg."),
        (HEADER + "SAAZ,SZ-25,5,5,,COLD\n", "Line 2, unit: A quantity needs its unit."),
        (HEADER + "SAAZ,SZ-25,99999999999999,5,kg,COLD\n", "Line 2, quantity, “99999999999999”: "),
        (HEADER + "SAAZ,SZ-25,5,5,kg,INN\n", "Line 2, location, “INN”: There is no store, silo or brink"),
        ("material,best_before\nSAAZ,31.1.2028\n", "Line 2, best_before, “31.1.2028”: '31.1.2028' is no date"),
        ("material,order\nSAAZ,PO-9\n", "Line 2, order, “PO-9”: No order of this number from this supplier asks"),
        ("material,lot\nSAAZ,H1\nSAAZ,H1\n", "Line 3, lot, “H1”: Line 2 makes a lot of this code already."),
        ("material,lot\nSAAZ,a lot code that is far too long\n", "Line 2, lot, “a lot code that is far too long”"),
    ],
)
def test_what_is_wrong_is_told_by_line_column_and_value(dock: Dock, content, told):
    (sentence,) = refused(dock, content)
    assert sentence.startswith(told)


def test_all_that_is_wrong_is_told_at_once_and_nothing_is_read_in(dock: Dock):
    sentences = refused(dock, HEADER + GOOD + "NOHOP,x,5,5,kg,COLD\nSAAZ,x,5,5,kg,NOWHERE\nSAAZ,x,5,5,L,NOWHERE\n")
    assert [sentence.partition(":")[0] for sentence in sentences] == [
        "Line 3, material, “NOHOP”",
        "Line 4, location, “NOWHERE”",
        "Line 5, location, “NOWHERE”",
        "Line 5, unit, “L”",
    ]


def test_of_very_many_faults_the_first_are_told_and_all_are_counted(dock: Dock):
    draft = dock.open()
    with pytest.raises(FileRefused, match=f"1000 things are to be put right; the first {MOST_TOLD} are told") as told:
        read(dock, draft, HEADER + "NOHOP,x,5,5,kg,COLD\n" * 1000)
    assert len(told.value.faults) == MOST_TOLD


def test_a_file_of_10_000_lines_is_read_in_few_statements(dock: Dock, django_assert_max_num_queries):
    draft = dock.open()
    content = HEADER + "".join(f"SAAZ,SZ-{number},5,5,kg,COLD\n" for number in range(10_000))
    with django_assert_max_num_queries(260):
        read(dock, draft, content)
    assert draft.lines.count() == 10_000
    assert DeliveryLine.objects.filter(delivery=draft).values("lot_code").distinct().count() == 10_000


def test_the_same_request_is_one_import_and_the_same_file_again_is_refused(dock: Dock):
    draft = dock.open()
    asked = {"request_id": rid()}
    for _ in range(2):
        assert len(read(dock, draft, HEADER + GOOD, **asked)) == 1
    name = dock.house.people["receiving"].username
    with pytest.raises(FileReadBefore, match=f"{name} read this very file into delivery note LS-1 on"):
        read(dock, draft, HEADER + GOOD, "renamed.csv")
    assert draft.lines.count() == 1
    assert len(read(dock, dock.open(note_number="LS-2"), HEADER + GOOD)) == 1


def test_a_file_too_large_or_for_a_booked_delivery_is_refused(dock: Dock):
    draft = dock.open()
    with pytest.raises(FileTooLarge):
        read(dock, draft, b"x" * (LARGEST_BYTES + 1))
    dock.add(draft, "SAAZ", "5 kg")
    dock.book(draft)
    with pytest.raises(DraftBooked):
        read(dock, draft, HEADER + GOOD)


@given(st.binary(max_size=200))
def test_no_file_falls_over(content: bytes):
    """What cannot be decoded or taken apart is told before anything is looked up."""
    rows = []
    with suppress(FileRefused):
        rows = rows_of("any.csv", content)
    assert all(row["material"] for row in rows)
