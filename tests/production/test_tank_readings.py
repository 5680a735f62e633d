"""Readings of tanks: each stands with what its tank held then, is kept for good, and is corrected by another."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput, RequestIdReused
from brewery.production.models import TankReading
from brewery.production.services.reading_refusals import (
    BadReadings,
    NothingInItThen,
    ReadAlready,
    ReadingCorrectedAlready,
)
from brewery.production.services.tank_readings import Measured, read_tanks
from inventory.services.refusals import InTheFuture, NothingToDo, ReasonMissing, WrongPlace
from tests.brewhouse import Brewhouse, at
from tests.ledger import refused
from tests.production.cellar import fermenting, measured, put_right, read
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """T1 was pitched in FV1 at hour 10; before, from hour 9, it was wort W1."""
    fermenting(brewhouse)
    return brewhouse


def test_several_properties_are_read_at_once(house: Brewhouse):
    first = read(house, measured(house, "gravity", "11.5", 20), measured(house, "temperature", "9.2", 20))
    rows = TankReading.objects.filter(request=first.request_id)
    assert [(row.property, row.value_micro, row.lot.code) for row in rows] == [
        ("gravity", 11_500_000, "T1"),
        ("temperature", 9_200_000, "T1"),
    ]
    assert first.property == "gravity"


def test_a_reading_is_of_what_the_tank_held_then(house: Brewhouse):
    house.add("FV1", "T2", ("H1", "STORE", "1 kg"), hours=100)
    read(house, *(measured(house, "gravity", "12", hours) for hours in (9, 9.5, 10, 99, 100)))
    assert [row.lot.code for row in TankReading.objects.all()] == ["W1", "W1", "T1", "T1", "T2"]


def test_what_was_undone_was_never_in_the_tank(house: Brewhouse):
    added = house.add("FV1", "T2", ("H1", "STORE", "1 kg"), hours=100)
    house.reverse(added)
    assert read(house, measured(house, "gravity", "5", 101)).lot.code == "T1"


def test_an_empty_tank_is_not_read(house: Brewhouse):
    with refused(NothingInItThen, "Fermenter 1 held nothing at 2026-03-02 17:00.", field="happened_at"):
        read(house, measured(house, "gravity", "12", 8))
    house.transfer("FV1", "FV2", "1000 L", hours=50)
    with pytest.raises(NothingInItThen):
        read(house, measured(house, "gravity", "12", 50))
    assert read(house, measured(house, "gravity", "12", 49)).lot.code == "T1"


@pytest.mark.parametrize(
    ("property", "value", "field", "problem"),
    [
        ("mood", "1", "property", "Write one of: gravity, temperature, ph"),
        ("gravity", "45", "value", "Gravity must be -3 to 40 °P. Read it again."),
        ("temperature", "-6", "value", "Temperature must be -5 to 60 °C. Read it again."),
        ("diacetyl", "-0.1", "value", "Diacetyl must be 0 to 10 mg/L. Read it again."),
    ],
)
def test_a_reading_that_cannot_be_is_refused(house: Brewhouse, property: str, value: str, field: str, problem: str):
    with pytest.raises(InvalidInput, match=problem) as caught:
        read(house, measured(house, property, value, 20))
    assert caught.value.field == field


def test_nothing_is_read_in_the_future_or_of_a_store_and_something_is(house: Brewhouse):
    late = Measured(house.place("FV1"), "gravity", 1, now() + timedelta(minutes=1))
    with pytest.raises(InTheFuture):
        read(house, late)
    with pytest.raises(WrongPlace):
        read(house, measured(house, "temperature", "4", 20, vessel="STORE"))
    with pytest.raises(NothingToDo):
        read(house)


def test_of_many_readings_all_that_are_wrong_are_told_and_none_is_taken_down(house: Brewhouse):
    lines = [measured(house, "gravity", "11", 20), measured(house, "gravity", "99", 30), measured(house, "ph", "5", 1)]
    with pytest.raises(BadReadings, match="Of 3 readings, 2 cannot be taken down, so none was") as caught:
        read(house, *lines)
    assert [fault.field for fault in caught.value.all_faults()] == ["readings.1", "readings.2"]
    assert not TankReading.objects.exists()


def test_what_was_read_is_not_read_again_at_the_same_moment(house: Brewhouse):
    read(house, measured(house, "gravity", "11", 20))
    with refused(
        ReadAlready, "Gravity of Fermenter 1 at 2026-03-03 05:00 stands as 11 °P, read by brewing.", field="happened_at"
    ):
        read(house, measured(house, "gravity", "11.2", 20))
    with pytest.raises(BadReadings, match="Of 2 readings, 1"):
        read(house, measured(house, "gravity", "10", 21), measured(house, "gravity", "10.2", 21))
    read(house, measured(house, "temperature", "9", 20))


def test_the_same_request_reads_once_and_other_content_is_refused(house: Brewhouse):
    asked = {"readings": [measured(house, "gravity", "11", 20)], **house.by("brewing")}
    assert read_tanks(**asked) == read_tanks(**asked)
    assert TankReading.objects.count() == 1
    with pytest.raises(RequestIdReused):
        read_tanks(**{**asked, "readings": [measured(house, "gravity", "12", 20)]})


def test_a_correction_replaces_a_reading_and_may_be_corrected_again(house: Brewhouse):
    wrong = read(house, measured(house, "gravity", "1.1", 20))
    right = put_right(house, wrong, "11", hours=20)
    assert (right.replaces, right.reason, right.lot.code) == (wrong, "misread", "T1")
    with pytest.raises(ReadingCorrectedAlready, match="it says Gravity 11 °P now"):
        put_right(house, wrong, "12", hours=20)
    last = put_right(house, right, "11.1", hours=21)
    assert list(TankReading.objects.filter(replaced_by=None)) == [last]


def test_a_correction_needs_a_reason(house: Brewhouse):
    wrong = read(house, measured(house, "gravity", "1.1", 20))
    with refused(ReasonMissing, "A correction needs a reason.", field="reason"):
        put_right(house, wrong, "11", hours=20, reason=" ")


@pytest.mark.parametrize("change", ["update", "delete", "replace twice"])
def test_the_database_keeps_readings_round_the_service(house: Brewhouse, change: str):
    reading = read(house, measured(house, "ph", "5.5", 20))
    put_right(house, reading, "5.4", hours=20)
    rows = TankReading.objects.filter(pk=reading.pk)
    again = TankReading.objects.get(pk=reading.pk)
    again.pk, again.replaces, again.reason = None, reading, "once more"
    work = {"update": lambda: rows.update(value_micro=1), "delete": rows.delete, "replace twice": again.save}[change]
    with pytest.raises(IntegrityError), transaction.atomic():
        work()
    assert TankReading.objects.count() == 2


def test_a_reading_without_a_reason_replaces_nothing_round_the_service(house: Brewhouse):
    reading = read(house, measured(house, "ph", "5.5", 20))
    again = TankReading.objects.get(pk=reading.pk)
    again.pk, again.replaces, again.happened_at = None, reading, at(21)
    with pytest.raises(IntegrityError, match="a_corrected_reading_says_why"), transaction.atomic():
        again.save()
