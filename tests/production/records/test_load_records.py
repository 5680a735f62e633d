"""`manage.py load_records`: what it says and what it leaves."""

import io

import pytest
from django.core.management import CommandError, call_command

from tests.production.records.papers import papers, write
from tests.production.records.snapshot import rows_written

pytestmark = pytest.mark.django_db


def run(*arguments: object) -> tuple[str, str]:
    """Return what the command said, on both streams."""
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("load_records", *map(str, arguments), stdout=out, stderr=err)
    except CommandError as refused:
        return out.getvalue(), f"{err.getvalue()}{refused}"
    return out.getvalue(), err.getvalue()


def test_it_tells_what_it_did_file_by_file(folder):
    out, err = run(write(folder, papers()))
    assert err == ""
    draws = next(line for line in out.splitlines() if "draws.csv" in line)
    assert [cell.strip() for cell in draws.split("│")[1:-1]] == ["draws.csv", "4", "5", "4", "0"]
    assert "82 records: 82 written, 0 already there" in out
    assert "82 records: 0 written, 82 already there" in run(folder)[0]


def test_no_progress_bar_where_there_is_no_terminal(folder, capfd):
    run(write(folder, papers()))
    assert capfd.readouterr().err == ""


def test_a_check_tries_everything_and_writes_nothing(folder):
    before = rows_written()
    out, err = run(write(folder, papers()), "--check")
    assert "82 would be written" in out
    assert err == ""
    assert rows_written() == before


def test_a_check_finds_what_a_service_refuses(folder):
    tables = papers()
    tables["draws"][0]["quantity"] = "9999"
    _, err = run(write(folder, tables), "--check")
    assert "draws.csv, line 2, column quantity: Silo holds 7000 kg of lot S1; 9999 kg was asked for." in err


def test_a_refusal_is_a_failure_with_a_line_for_each_problem(folder):
    tables = papers()
    tables["people"][0]["role"] = "baker"
    tables["draws"][0]["unit"] = "sack"
    write(folder, tables)
    with pytest.raises(CommandError) as refused:
        call_command("load_records", str(folder), stderr=io.StringIO())
    assert refused.value.returncode == 1
    _, err = run(folder)
    first, second, last = err.splitlines()
    assert first.startswith("draws.csv, line 2, column unit: 'sack' is not known here")
    assert second.startswith("people.csv, line 2, column role: 'baker' is not known here")
    assert last == "Nothing was written: 2 problems, told above."


def test_a_delivery_note_of_two_thousand_lines_is_one_event(folder):
    tables = papers()
    line = tables["deliveries"][1]
    tables["deliveries"] += [
        dict(line, record="D9", lot=f"H-{number}", happened_at="2026-03-30 08:00") for number in range(2_000)
    ]
    out, _ = run(write(folder, tables))
    assert "83 records: 83 written" in out
