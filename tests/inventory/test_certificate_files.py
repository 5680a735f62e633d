"""Certificates from a file: all of it is entered, or nothing is and every fault has its line and column."""

import csv
import io

import pytest

from brewery.kernel.errors import RequestIdReused
from inventory.models import Certificate, Decision
from inventory.services.attachments import content_of
from inventory.services.certificate_files import MOST_TOLD, BadFile, hand_in_file
from tests.brewhouse import Brewhouse, rid
from tests.inventory.laboratory import Laboratory
from tests.ledger import everything_written
from tests.standing import built_once

HEADER = "lot,number,laboratory,issued_on,moisture,extract_fine_dry,ochratoxin_a,alpha"


@built_once
def lab(brewhouse: Brewhouse) -> Laboratory:
    """M1, M2 and M3 of Munich malt wait for a certificate; H1 is hops."""
    for number in range(1, 4):
        brewhouse.deliver("MUNICH", f"M{number}", "100 kg", note=str(number))
    brewhouse.deliver("SAAZ", "H1", "20 kg", note="4")
    lab = Laboratory(brewhouse)
    lab.ask_for_malt()
    return lab


def hand_in(lab: Laboratory, *lines: str, header: str = HEADER, **more: object) -> Certificate:
    text = "\n".join([header, *lines]) + "\n"
    facts = {"content": text.encode(), "name": "coa.csv", **lab.house.by("quality"), **more}
    return hand_in_file(**facts)


def faults(lab: Laboratory, *lines: str, header: str = HEADER, **more: object) -> list[str]:
    """What is told of the file, having written nothing."""
    before = everything_written(), Certificate.objects.count()
    with pytest.raises(BadFile) as caught:
        hand_in(lab, *lines, header=header, **more)
    assert (everything_written(), Certificate.objects.count()) == before
    assert {fault.field for fault in caught.value.all_faults()} == {"file"}
    return [str(fault) for fault in caught.value.all_faults()]


def test_every_line_is_a_certificate_and_acts_on_its_lot(lab: Laboratory):
    first = hand_in(
        lab,
        "M1,A-1,Stowfield,2026-02-27,4.5,81.5,< 0.1,",
        "M2,A-2,Stowfield,2026-02-27,5.2,81.5,< 0.1,",
        "M3,A-3,,,4.5,81.5,,",
        "H1,A-4,,,,,,3.4",
    )
    made = Certificate.objects.filter(request=first.request_id).order_by("pk")
    assert [(paper.name, paper.content_type) for one in made for paper in one.attachments.all()] == [
        ("coa.csv", "text/csv")
    ] * 4
    assert content_of(made[0].attachments.get()).startswith(HEADER.encode())
    assert [(one.lot.code, one.number, one.values.count()) for one in made] == [
        ("M1", "A-1", 3),
        ("M2", "A-2", 3),
        ("M3", "A-3", 2),
        ("H1", "A-4", 1),
    ]
    assert [lab.house.lot(code).disposition for code in ("M1", "M2", "M3", "H1")] == [
        "released",
        "quarantined",
        "quarantined",
        "released",
    ]
    reasons = dict(Decision.objects.values_list("lot__code", "reason"))
    assert reasons["M3"] == "Certificate A-3: Ochratoxin A is not stated."


def test_columns_come_in_any_order_and_only_the_lot_must_be_there(lab: Laboratory):
    hand_in(lab, "4.4,M1", header="moisture,lot")
    assert Certificate.objects.get().lot.code == "M1"


def test_the_same_file_under_the_same_request_is_entered_once(lab: Laboratory):
    key = rid()
    line = "M1,A-1,,,4.5,,,"
    assert hand_in(lab, line, request_id=key) == hand_in(lab, line, request_id=key)
    with pytest.raises(RequestIdReused, match="another sha256"):
        hand_in(lab, "M1,A-1,,,4.6,,,", request_id=key)
    told = faults(lab, line)
    assert len(told) == 1
    assert told[0].startswith("coa.csv, line 2, column number: Certificate A-1 of lot M1 was entered on ")


def test_every_fault_of_every_line_is_told_with_its_column(lab: Laboratory):
    assert faults(
        lab,
        "M1,A-1,,,4.5,,,",
        "M9,A-2,,,4.5,,,",
        'M2,A-3,,2126-01-01,4.5,,,"',
        header=HEADER,
    ) == ["coa.csv, line 4: The line cannot be taken apart: unexpected end of data."]
    assert faults(
        lab,
        "M1,A-1,,,4.5,,,",
        "M9,A-2,,,4.5,,,",
        'M2,A-3,,2026-02-27,"4,5",81.5,,6',
        "M3,A-4,,2126-01-01,4.5,,,",
        "M3,A-5,,,,,,",
    ) == [
        "coa.csv, line 3, column lot: There is no lot 'M9'.",
        "coa.csv, line 4, column alpha: Certificates of malt state: moisture, extract_fine_as_is, extract_fine_dry, "
        "colour, protein, kolbach, friability, diastatic_power, deoxynivalenol, t2_ht2, ochratoxin_a.",
        "coa.csv, line 4, column moisture: '4,5' is no number; write it as 4.5, < 0.1 or > 95, without the unit.",
        "coa.csv, line 5, column issued_on: That day has not come yet.",
        "coa.csv, line 6: The certificate has no lines. Give at least one.",
    ]


def test_cells_and_columns_that_cannot_be_are_told(lab: Laboratory):
    assert faults(lab, "M1,27.2.2026", header="lot,issued_on") == [
        "coa.csv, line 2, column issued_on: '27.2.2026' is no date; write it as 2026-03-02."
    ]
    (told,) = faults(lab, "M1,4.5", header="lot,moist")
    assert told.startswith("coa.csv, line 1, column moist: There is no such column; the columns are lot, number")
    assert faults(lab, "4.5", header="moisture") == ["coa.csv, line 1, column lot: The column is missing."]
    assert faults(lab, "M1;4.5", header="lot;moisture") == [
        "coa.csv, line 1: Its cells stand apart by semicolons or tabs; save it with commas."
    ]
    assert faults(lab) == ["coa.csv: It has no line below the names of the columns."]
    assert faults(lab, "M1,4.5,3", header="lot,moisture") == [
        "coa.csv, line 2: The line has 3 cells where the header has 2."
    ]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "coa.csv, line 1: It is empty; its first line names the columns."),
        ("lot,strain\nY1,Köln\n".encode("latin-1"), "coa.csv, line 2, column strain: Byte 0xf6 is not UTF-8"),
        ("lot,moisture\nM1,4.5\n".encode("utf-16"), "coa.csv: It is in UTF-16; save it as CSV in UTF-8."),
        (b"lot,moisture\nM1,\x00\n", "coa.csv, line 2, column moisture: There is a NUL character"),
    ],
)
def test_files_that_are_no_text_are_told(lab: Laboratory, content: bytes, words: str):
    (told,) = faults(lab, content=content)
    assert told.startswith(words)


def test_a_file_with_a_byte_order_mark_is_read(lab: Laboratory):
    hand_in(lab, content=b"\xef\xbb\xbf" + f"{HEADER}\nM1,A-1,,,4.5,,,\n".encode())
    assert Certificate.objects.count() == 1


def test_of_a_file_full_of_faults_the_first_are_told(lab: Laboratory):
    told = faults(lab, *(f"M{number},,,,x,,," for number in range(10, 10 + MOST_TOLD + 5)))
    assert len(told) == MOST_TOLD + 1
    assert told[-1] == "And 5 more."
    (too_long,) = faults(lab, *("M1,,,,4.5,,," for _ in range(2001)))
    assert too_long == "coa.csv: It has 2001 lines; up to 2000 are read. Split it."


def test_what_a_spreadsheet_writes_is_read_back(lab: Laboratory):
    out = io.StringIO()
    rows = [HEADER.split(","), ["M1", 'A "1"', "Stowfield, Ltd", "2026-02-27", "4.5", "", "< 0.1", ""]]
    csv.writer(out).writerows(rows)
    made = hand_in(lab, content=out.getvalue().encode())
    assert (made.number, made.laboratory) == ('A "1"', "Stowfield, Ltd")
