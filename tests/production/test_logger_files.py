"""Files of loggers: read in whole, each fault told by its place, and the same figures never written twice."""

from datetime import UTC, datetime

import pytest

from brewery.production.models import TankReading
from brewery.production.services.logger_files import AllOnRecord, read_in_logger_file
from inventory.services.delivery_files import FileRefused
from tests.brewhouse import Brewhouse, rid
from tests.production.cellar import fermenting, put_right
from tests.standing import built_once

HEADER = "time,vessel,gravity,temperature\n"
GOOD = "2026-03-03T08:00:30,FV1,11.2,-0.5\n2026-03-03 09:00+00:00,FV1,,8.75\n"


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """T1 was pitched in FV1 at hour 10, on 2 March."""
    fermenting(brewhouse)
    return brewhouse


def read_in(house: Brewhouse, text: str, **more) -> TankReading:
    return read_in_logger_file(name="logger.csv", content=text.encode(), **{**house.by("brewing"), **more})


def told(house: Brewhouse, text: str) -> list[str]:
    """Return what is told of the file, of which nothing was read in."""
    before = TankReading.objects.count()
    with pytest.raises(FileRefused) as refused:
        read_in(house, text)
    assert TankReading.objects.count() == before
    return [str(fault) for fault in refused.value.faults]


def test_figures_below_zero_seconds_and_empty_cells_are_read_as_instruments_write_them(house: Brewhouse):
    read_in(house, HEADER + GOOD)
    assert list(TankReading.objects.values_list("property", "value_micro", "happened_at")) == [
        ("gravity", 11_200_000, datetime(2026, 3, 3, 7, 0, 30, tzinfo=UTC)),
        ("temperature", -500_000, datetime(2026, 3, 3, 7, 0, 30, tzinfo=UTC)),
        ("temperature", 8_750_000, datetime(2026, 3, 3, 9, tzinfo=UTC)),
    ]


def test_the_same_file_twice_writes_nothing_twice_and_a_longer_one_only_what_is_new(house: Brewhouse):
    first = read_in(house, HEADER + GOOD)
    with pytest.raises(AllOnRecord, match="Every one of the 3 readings"):
        read_in(house, HEADER + GOOD)
    put_right(house, first, "11", hours=24)
    read_in(house, HEADER + GOOD + "2026-03-03T10:00,FV1,10.9,\n")
    assert TankReading.objects.filter(replaces=None).count() == 4


def test_a_repeated_request_answers_with_what_the_first_one_made(house: Brewhouse):
    request = rid()
    assert read_in(house, HEADER + GOOD, request_id=request) == read_in(house, HEADER + GOOD, request_id=request)


def test_every_fault_is_told_by_line_column_and_value(house: Brewhouse):
    lines = [
        '2026-03-03T08:00,FV1,"11,2",',
        "2026-03-03T08:00,XX,11,",
        "03.03.2026 08:00,FV1,11,",
        "2026-03-03T09:00,FV1,110,< 4",
    ]
    found = told(house, HEADER + "\n".join(lines))
    assert [fault.partition(":")[0] for fault in found[:2]] == [
        "Line 2, gravity, “11,2”",
        "Line 4, time, “03.03.2026 08",
    ]
    assert [fault.partition("”")[0] for fault in found[2:]] == [
        "Line 5, gravity, “110",
        "Line 5, temperature, “< 4",
    ]


def test_what_the_record_refuses_is_told_by_line_column_and_value(house: Brewhouse):
    read_in(house, HEADER + GOOD)
    lines = ["2026-02-01T08:00,FV1,11,", "2026-03-03T08:00:30,FV1,11.3,", "2026-03-03T11:00,FV9,11,"]
    assert told(house, HEADER + lines[2]) == ["Line 2, vessel, “FV9”: There is no tank of this code."]
    empty, other = told(house, HEADER + "\n".join(lines[:2]))
    assert empty.startswith("Line 2, gravity, “11”: Fermenter 1 held nothing")
    assert other.startswith("Line 3, gravity, “11.3”: Gravity of Fermenter 1")
    (alone,) = told(house, HEADER + lines[0])
    assert alone == empty


def test_a_moment_that_stands_twice_or_tells_nothing_is_refused(house: Brewhouse):
    lines = "2026-03-03T08:00,FV1,11,\n2026-03-03T08:00,FV1,11,\n2026-03-03T09:00,FV1,,\n"
    twice, empty = told(house, HEADER + lines)
    assert twice == "Line 3, gravity, “11”: Line 2 tells this of that moment already."
    assert empty == "Line 4: It tells no figure."
