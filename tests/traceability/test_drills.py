"""Drills: one is drawn when it is due and once a day, and a whole one is done from the terminal."""

import csv
import json
from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest
import time_machine
from django.core.management import CommandError, call_command

from tests.brewhouse import START, Brewhouse
from tests.standing import built_once
from traceability.jobs.drills import draw_due_drill
from traceability.models import Recall


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.whole_chain()
    return brewhouse


def test_a_drill_is_drawn_once_and_again_when_the_setting_says(house: Brewhouse, settings):
    settings.MOCK_RECALL_DAYS = 30
    with time_machine.travel(START + timedelta(days=60), tick=False) as clock:
        first = draw_due_drill()
        assert draw_due_drill() == {"drill": None}
        clock.shift(timedelta(days=31))
        assert draw_due_drill()["drill"] != first["drill"]
    drill = Recall.objects.get(pk=first["drill"])
    went_on = {"M1", "H1", "H2", "Y1", "A1", "K1", "W1", "T1", "D1", "BB1"}
    assert (drill.is_mock, drill.hold, drill.drawn_from) == (True, None, len(went_on))
    assert set(first["lots"]) <= went_on


def test_no_drill_is_drawn_where_none_is_wanted_or_nothing_was_made(brewhouse: Brewhouse, settings):
    settings.MOCK_RECALL_DAYS = 30
    assert draw_due_drill() == {"drill": None}
    settings.MOCK_RECALL_DAYS = 0
    brewhouse.whole_chain()
    assert draw_due_drill() == {"drill": None}


def test_a_whole_drill_from_the_terminal_is_written_as_files_and_stays_on_record(house: Brewhouse, tmp_path: Path):
    told = StringIO()
    call_command("mock_recall", "M1", out=tmp_path / "drill", stdout=told)
    assert "100.000 %" in told.getvalue()
    with (tmp_path / "drill" / "affected.csv").open(newline="") as file:
        affected = {row["lot"]: row for row in csv.DictReader(file)}
    assert (affected["KEG1"]["made"], affected["KEG1"]["at_customers"], affected["KEG1"]["back"]) == ("10", "3", "1")
    with (tmp_path / "drill" / "customers.csv").open(newline="") as file:
        assert [(row["customer"], row["lot"], row["there"]) for row in csv.DictReader(file)] == [("INN", "KEG1", "3")]
    summary = json.loads((tmp_path / "drill" / "summary.json").read_text())
    assert (summary["lots"], summary["customers"]) == (len(affected), ["INN"])
    assert (tmp_path / "drill" / "summary.txt").read_text() == told.getvalue()
    assert Recall.objects.get().closing.open_points == summary["open_points"]
    assert (tmp_path / "drill" / "report.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "drill" / "report.xlsx").read_bytes().startswith(b"PK")


def test_a_drill_of_no_lot_or_over_no_kind_is_refused(house: Brewhouse, tmp_path: Path):
    for lot, follow in (("M9", ""), ("M1", "air")):
        with pytest.raises(CommandError):
            call_command("mock_recall", lot, out=tmp_path, follow=follow, stdout=StringIO())
    assert not Recall.objects.exists()
