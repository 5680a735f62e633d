"""Files as people really hand them over: each fault is told with its file, line, column and reason."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.kernel.tables import decoding
from brewery.production.services.records.kinds import KINDS
from brewery.production.services.records.problems import RecordsRefused
from brewery.production.services.records.reading import read_file, read_folder

HEADER = "record,happened_at,recorded_by,lot,from_location,to_location,quantity,unit\n"
GOOD = "V1,2026-03-02 08:00,ada,M1,STORE,COLD,5,kg\n"
MOVES = KINDS["moves"]


def moves_file(folder: Path, content: str | bytes) -> Path:
    path = folder / "moves.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


@pytest.mark.parametrize(
    "content",
    [
        HEADER + GOOD,
        "\ufeff" + HEADER + GOOD,
        (HEADER + GOOD).replace("\n", "\r\n"),
        (HEADER + GOOD).replace("\n", "\r"),
        (HEADER + GOOD).removesuffix("\n"),
        (HEADER + GOOD).replace(",", " , "),
        (HEADER + GOOD).replace("STORE", '"STORE"'),
        "unit,quantity,to_location,from_location,lot,recorded_by,happened_at,record\n"
        "kg,5,COLD,STORE,M1,ada,2026-03-02 08:00,V1\n",
    ],
    ids=["plain", "byte order mark", "CRLF", "CR", "no last line feed", "spaces", "quotes", "columns in another order"],
)
def test_a_file_is_read_however_it_was_saved(tmp_path, content):
    read = read_file(moves_file(tmp_path, content), MOVES)
    assert read.problems == ()
    (record,) = read.records
    assert (record.number, record["lot"], record["to_location"], record["unit"]) == ("V1", "M1", "COLD", "kg")


def test_signs_of_any_language_are_read(tmp_path):
    content = "person,name,role\nzoë,Zoë Şahin 醸造,brewing\n"
    (tmp_path / "people.csv").write_text(content, encoding="utf-8")
    (record,) = read_file(tmp_path / "people.csv", KINDS["people"]).records
    assert record["name"] == "Zoë Şahin 醸造"


@pytest.mark.parametrize(
    ("content", "line", "column", "why"),
    [
        ("", 1, "", "is empty"),
        (HEADER.replace("lot,", "") + GOOD, 1, "lot", "missing"),
        (HEADER.replace("unit", "unit,colour") + GOOD, 1, "colour", "no such column"),
        (HEADER.replace("unit", "unit,lot") + GOOD, 1, "lot", "twice"),
        ((HEADER + GOOD).replace(",", ";"), 1, "", "semicolons"),
        (HEADER + GOOD + "V2,2026-03-02 08:00,ada\n", 3, "", "3 cells where the header has 8"),
        (HEADER + GOOD.replace("kg", "kg,kg"), 2, "", "9 cells"),
        (HEADER + "\n" + GOOD, 2, "", "blank"),
        (HEADER + ",,,,,,,\n" + GOOD, 2, "", "blank"),
        (HEADER + GOOD.replace("M1", ""), 2, "lot", "empty and must be given"),
        (HEADER + GOOD.replace("STORE", '"STO\nRE"'), 2, "from_location", "line break"),
        (HEADER + GOOD.replace("STORE", "STO\x07RE"), 2, "from_location", "cannot be printed"),
        (HEADER + GOOD.replace("STORE", '"STORE'), 2, "", "cannot be taken apart"),
        (HEADER + GOOD.replace("STORE", '"STO"RE'), 2, "", "cannot be taken apart"),
        (HEADER + GOOD.replace("STORE", "x" * 200_000), 2, "", "field limit"),
        (HEADER + GOOD.replace("STORE", "STO\0RE"), 2, "from_location", "NUL"),
        ((HEADER + GOOD.replace("STORE", "STÖRE")).encode("latin-1"), 2, "from_location", "0xd6 is not UTF-8"),
        (b"\xff\xfe" + HEADER.encode("utf-16-le"), 0, "", "UTF-16"),
        (b"PK\x03\x04\x14\x00\x06\x00", 1, "", "NUL"),
        (HEADER + GOOD + GOOD, 3, "record", "on line 2 already"),
    ],
)
def test_a_malformed_file_is_told_with_line_and_column(tmp_path, content, line, column, why):
    read = read_file(moves_file(tmp_path, content), MOVES)
    assert read.records == ()
    problem = read.problems[0]
    assert (problem.file, problem.line, problem.column) == ("moves.csv", line, column)
    assert why in problem.reason


def test_lines_count_on_past_a_cell_that_breaks_the_line(tmp_path):
    content = HEADER + GOOD.replace("STORE", '"STO\nRE"') + GOOD.replace("V1", "V2").replace(",5,", ",five,")
    read = read_file(moves_file(tmp_path, content), MOVES)
    assert [(problem.line, problem.column) for problem in read.problems] == [(2, "from_location"), (4, "quantity")]


def test_lines_of_one_record_that_contradict_each_other_are_told(tmp_path):
    (tmp_path / "shipments.csv").write_text(
        "record,happened_at,recorded_by,customer,note_number,lot,location,quantity,unit\n"
        "S1,2026-03-02 08:00,ada,INN,L-1,K1,STORE,5,each\n"
        "S1,2026-03-02 08:00,ada,BAR,L-1,K2,STORE,5,each\n"
    )
    (problem,) = read_file(tmp_path / "shipments.csv", KINDS["shipments"]).problems
    assert (problem.line, problem.column) == (3, "customer")
    assert "line 2" in problem.reason


def test_a_file_beyond_all_measure_is_not_even_opened(tmp_path, monkeypatch):
    monkeypatch.setattr(decoding, "LARGEST_BYTES", 100)
    (problem,) = read_file(moves_file(tmp_path, HEADER + GOOD), MOVES).problems
    assert (problem.line, problem.column) == (0, "")
    assert "Split it" in problem.reason


@pytest.mark.parametrize(
    "make",
    [lambda path: path.mkdir(), lambda path: path.symlink_to("elsewhere.csv")],
    ids=["a folder", "a link to nothing"],
)
def test_what_bears_the_name_of_a_file_and_is_none_is_told(tmp_path, make):
    make(tmp_path / "moves.csv")
    with pytest.raises(RecordsRefused) as refused:
        read_folder(tmp_path)
    (problem,) = refused.value.problems
    assert (problem.file, problem.line) == ("moves.csv", 0)
    assert problem.reason.startswith("It cannot be read: ")


def test_ten_thousand_lines_are_read(tmp_path):
    lines = (GOOD.replace("V1", f"V{number}") for number in range(10_000))
    assert len(read_file(moves_file(tmp_path, HEADER + "".join(lines)), MOVES).records) == 10_000


def test_the_faults_of_all_files_are_told_at_once(tmp_path):
    moves_file(tmp_path, HEADER + GOOD.replace("kg", "stone").replace(",5,", ",five,") + GOOD.replace("M1", "M 1"))
    (tmp_path / "people.csv").write_text("person,name,role\nada,,baker\n")
    (tmp_path / "recipes.csv").write_text("beer\nLAGER\n")
    with pytest.raises(RecordsRefused) as refused:
        read_folder(tmp_path)
    told = {(problem.file, problem.line, problem.column) for problem in refused.value.problems}
    assert told == {
        ("moves.csv", 2, "quantity"),
        ("moves.csv", 2, "unit"),
        ("moves.csv", 3, "lot"),
        ("people.csv", 2, "name"),
        ("people.csv", 2, "role"),
        ("recipes.csv", 0, ""),
    }


@pytest.mark.parametrize("make", [lambda path: None, lambda path: path.mkdir()], ids=["no folder", "an empty one"])
def test_a_folder_without_records_is_refused(tmp_path, make):
    make(tmp_path / "papers")
    with pytest.raises(RecordsRefused) as refused:
        read_folder(tmp_path / "papers")
    assert len(refused.value.problems) == 1


def test_what_is_no_csv_file_is_left_alone(tmp_path):
    moves_file(tmp_path, HEADER + GOOD)
    (tmp_path / "README.md").write_text("# What this is")
    assert len(read_folder(tmp_path)) == 1


@given(content=st.binary(max_size=300))
def test_no_bytes_whatever_stop_the_reader(tmp_path_factory, content):
    path = moves_file(tmp_path_factory.mktemp("any"), HEADER.encode() + content)
    read = read_file(path, MOVES)
    assert not (read.records and read.problems)


@given(cells=st.lists(st.text(max_size=12), min_size=8, max_size=8))
def test_no_text_whatever_stops_the_reader(tmp_path_factory, cells):
    path = moves_file(tmp_path_factory.mktemp("any"), (HEADER + ",".join(cells)).encode("utf-8", "surrogatepass"))
    read = read_file(path, MOVES)
    assert not (read.records and read.problems)
