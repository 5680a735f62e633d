"""The climate of places: readings, limits, what lay there when it was too warm, and what people are told."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from brewery.kernel.clock import brewery_zone, now
from brewery.kernel.errors import InvalidInput
from brewery.kernel.templatetags.shell import moment_text
from inventory.models import Alert, ClimateLimit, ClimateReading, Warmth
from inventory.queries.climates import climate_of, lots_there
from inventory.queries.warmths import warmth_of
from inventory.services.alerts import look
from inventory.services.climates import (
    Logged,
    OtherReading,
    ReadAlready,
    read_in_climate_file,
    set_climate_limit,
    take_climate_readings,
)
from inventory.services.delivery_files import FileRefused
from inventory.services.refusals import InTheFuture, NothingToDo, WrongPlace
from tests.brewhouse import Brewhouse, at, rid


def take(
    house: Brewhouse, *readings: tuple[float, float], place: str = "COLD", logger: str = "T-1", **more: Any
) -> Any:
    """Readings of one logger: hours after the start, and °C."""
    told = [Logged(house.place(place), logger, at(hours), round(celsius * 1000)) for hours, celsius in readings]
    return take_climate_readings(readings=told, **{**house.by("quality"), **more})


def limit(house: Brewhouse, least: float | None = 0, most: float | None = 8, **facts: Any) -> ClimateLimit:
    asked = {"location": house.place("COLD"), "since": at(0), "tolerated_minutes": 60, **facts}
    both = {"least_milli_c": least, "most_milli_c": most}
    told = {name: None if value is None else round(value * 1000) for name, value in both.items()}
    return set_climate_limit(**asked, **told, **house.by("quality"))


def hours_ago(hours: float) -> float:
    """So long ago, in hours after the start of the tests."""
    return (now() - timedelta(hours=hours) - at(0)) / timedelta(hours=1)


def test_readings_are_taken_once_and_never_changed(brewhouse: Brewhouse):
    take(brewhouse, (0, 4), (1, 5))
    take(brewhouse, (1, 5), (2, 4))
    assert ClimateReading.objects.count() == 3
    with pytest.raises(ReadAlready, match="Every one of the 2 readings is on record already"):
        take(brewhouse, (0, 4), (1, 5))
    with pytest.raises(OtherReading, match=r"Logger T-1 read 5\.0 °C in Cold store at 2026-03-02 10:00, not 9\.0 °C"):
        take(brewhouse, (3, 4), (1, 9))
    assert ClimateReading.objects.count() == 3
    take(brewhouse, (1, 9), logger="T-2")


def test_the_same_request_is_answered_as_before(brewhouse: Brewhouse):
    by = {"actor": brewhouse.people["quality"], "request_id": rid()}
    assert take(brewhouse, (0, 4), **by) == take(brewhouse, (0, 4), **by)


def test_what_decays_is_reckoned_within_half_a_degree_of_what_was_read(brewhouse: Brewhouse):
    take(brewhouse, (0, 4), (1, 4.4), (2, 4.6), (3, 4.5), (4, 9), (5, 4.3))
    steps = Warmth.objects.filter(location__code="COLD").values_list("since", "milli_c")
    assert list(steps) == [(at(0), 4000), (at(2), 4600), (at(4), 9000), (at(5), 4300)]
    place = brewhouse.place("COLD")
    for row in ClimateReading.objects.all():
        kept = warmth_of(place, row.read_at)
        assert kept is not None
        assert abs(kept - row.milli_c) <= 500


@pytest.mark.parametrize(
    ("readings", "more", "refusal"),
    [
        ([], {}, NothingToDo),
        ([(10**6, 4)], {}, InTheFuture),
        ([(0, 90)], {}, InvalidInput),
        ([(0, 4)], {"logger": " "}, InvalidInput),
        ([(0, 4)], {"place": "transformed"}, WrongPlace),
    ],
)
def test_a_reading_that_cannot_be_is_refused(
    brewhouse: Brewhouse, readings: list[tuple[float, float]], more: dict[str, str], refusal: type[Exception]
):
    with pytest.raises(refusal):
        take(brewhouse, *readings, **more)
    assert not ClimateReading.objects.exists()


FILE = "place,time,celsius\nCOLD,2026-03-02 10:00,4.5\nCOLD,2026-03-02 11:00,-1\n"


def read_in(house: Brewhouse, text: str = FILE) -> ClimateReading:
    return read_in_climate_file(name="cold.csv", content=text.encode(), logger="T-1", **house.by("quality"))


def test_a_file_is_read_in_whole_by_the_brewerys_clock(brewhouse: Brewhouse):
    read_in(brewhouse)
    rows = ClimateReading.objects.values_list("read_at", "milli_c")
    # Berlin is an hour ahead of UTC in March: the tests begin at 8:00 UTC.
    assert list(rows) == [(at(1), 4500), (at(2), -1000)]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (FILE.replace(",-1", ",cold"), "Line 3, celsius, “cold”"),
        (FILE.replace(",-1", ",80"), "80 °C is none of a store"),
        (FILE.replace("COLD", "ATTIC", 1), "There is no place of this code"),
    ],
)
def test_a_file_with_a_fault_is_refused_by_its_place(brewhouse: Brewhouse, text: str, told: str):
    with pytest.raises(FileRefused) as refused:
        read_in(brewhouse, text)
    assert told in " ".join(str(fault) for fault in refused.value.all_faults()) + str(refused.value)
    assert not ClimateReading.objects.exists()


def test_an_excursion_is_told_with_what_lay_there(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg", "COLD", supplier="HOPYARD")
    brewhouse.deliver("SAAZ", "H2", "20 kg", "COLD", hours=30, note="2")
    brewhouse.deliver("SAAZ", "H3", "20 kg", "COLD", note="3")
    brewhouse.move("H3", "COLD", "STORE", "20 kg", hours=5)
    limit(brewhouse)
    take(brewhouse, (0, 4), (10, 12), (20, 4))
    climate = climate_of(brewhouse.place("COLD"), at(0), at(40))
    (found,) = climate.excursions
    assert (found.start, found.end, found.worst_c) == (at(10), at(20), 12)
    assert [lot.code for lot in lots_there(climate.location, found.start, found.end)] == ["H1"]
    assert climate.mean_c == pytest.approx((4 * 10 + 12 * 10 + 4 * 20) / 40)


def test_a_place_that_stays_too_warm_is_told_until_it_is_cold_again(brewhouse: Brewhouse):
    limit(brewhouse)
    take(brewhouse, (hours_ago(5), 4), (hours_ago(3), 14))
    look("out_of_climate")
    alert = Alert.objects.get(kind="out_of_climate")
    assert (alert.severity, alert.owner) == (Alert.Severity.URGENT, "quality")
    assert "Cold store has been too warm since" in alert.words
    take(brewhouse, (hours_ago(0.1), 5))
    look("out_of_climate")
    alert.refresh_from_db()
    assert alert.closed_at


def test_a_logger_that_is_silent_is_told(brewhouse: Brewhouse):
    limit(brewhouse, silent_minutes=120)
    take(brewhouse, (hours_ago(3), 4))
    look("logger_silent")
    assert "Nothing was read in Cold store since" in Alert.objects.get(kind="logger_silent").words
    take(brewhouse, (hours_ago(1), 4))
    look("logger_silent")
    assert Alert.objects.get(kind="logger_silent").closed_at


@pytest.mark.parametrize(
    ("least", "most", "facts", "field"),
    [(8, 2, {}, "most_c"), (-90, 2, {}, "least_c"), (0, 8, {"tolerated_minutes": -1}, "tolerated_minutes")],
)
def test_limits_that_cannot_be_are_refused(
    brewhouse: Brewhouse, least: float, most: float, facts: dict[str, int], field: str
):
    with pytest.raises(InvalidInput) as refusal:
        limit(brewhouse, least, most, **facts)
    assert refusal.value.field == field


def test_the_pages_show_it(client: Client, brewhouse: Brewhouse):
    client.force_login(brewhouse.people["quality"])
    place = brewhouse.place("COLD").pk
    told = {"request_id": rid(), "least_c": "0", "most_c": "8", "tolerated_minutes": "30", "silent_minutes": ""}
    moment: datetime = now() - timedelta(days=2)
    told["happened_at"] = moment.strftime("%Y-%m-%dT%H:%M")
    assert client.post(f"/climate/{place}/limit/", told).status_code == 303
    take(brewhouse, (hours_ago(9), 4), (hours_ago(7), 11), (hours_ago(5), 4))
    page = client.get(f"/climate/{place}/").content.decode()
    assert "It must keep" in page
    assert "too warm" in page
    assert 'class="chart time-chart"' in page
    file = SimpleUploadedFile("cold.csv", FILE.encode())
    sent = client.post("/climate/file/", {"request_id": rid(), "logger": "T-1", "file": file})
    assert (sent.status_code, sent.url) == (303, f"/climate/{place}/")
    assert "within limits" in client.get("/climate/").content.decode()
    client.force_login(brewhouse.people["auditor"])
    assert 'method="post"' not in client.get(f"/climate/{place}/").content.decode().partition("<main")[2]


def test_a_place_whose_logger_fell_silent_long_ago_says_when_it_was_read_last(client: Client, brewhouse: Brewhouse):
    take(brewhouse, (hours_ago(24 * 30), 4))
    client.force_login(brewhouse.people["quality"])
    (reading,) = ClimateReading.objects.all()
    shown = client.get("/climate/").content.decode()
    with timezone.override(brewery_zone()):
        assert moment_text(reading.read_at) in shown


def test_a_place_that_has_limits_and_was_never_read_is_shown(client: Client, brewhouse: Brewhouse):
    limit(brewhouse)
    client.force_login(brewhouse.people["quality"])
    assert "nothing yet" in client.get("/climate/").content.decode()
