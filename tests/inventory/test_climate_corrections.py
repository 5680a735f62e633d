"""What a logger read wrongly does not count: the history of the place is as if it had not been read, and back again."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import Error, transaction
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brewery.kernel.clock import brewery_zone
from brewery.kernel.database.refusals import broken_rule
from brewery.kernel.errors import InvalidInput
from inventory.models import Alert, ClimateCorrection, ClimateReading, Keeping
from inventory.queries.climates import climate_of, counting, judged
from inventory.queries.warmths import changes_of, cut, warmth_of
from inventory.services.alerts import look
from inventory.services.climate_corrections import NothingRead, correct_climate
from inventory.services.climates import OtherReading, ReadAlready
from inventory.services.keeping_rules import ALPHA
from inventory.services.keepings import work_off
from inventory.services.refusals import ReasonMissing, WrongPlace
from inventory.services.warmths import keep_place_at
from tests.api.client import Api
from tests.brewhouse import START, Brewhouse, at, rid
from tests.inventory.laboratory import Laboratory
from tests.inventory.test_climates import hours_ago, limit, take
from tests.inventory.test_hop_alpha import keep_at


def correct(house: Brewhouse, first: float, last: float, **more: Any) -> ClimateCorrection:
    """What T-1 read in the cold store between the two hours does not count."""
    told = {"logger": "T-1", "counts": False, "reason": "It lay on the bench", "place": "COLD", **more}
    place = house.place(told.pop("place"))
    by = {**house.by("quality"), **{name: told.pop(name) for name in ("request_id",) if name in told}}
    return correct_climate(location=place, first_at=at(first), last_at=at(last), **told, **by)


def kept(house: Brewhouse, *hours: float) -> list[int | None]:
    return [warmth_of(house.place("COLD"), at(hour)) for hour in hours]


def test_what_does_not_count_leaves_the_warmth_as_the_rest_tells_it(brewhouse: Brewhouse):
    take(brewhouse, (0, 4), (10, 22), (20, 23), (30, 4.2))
    assert kept(brewhouse, 5, 15, 25, 35) == [4000, 22000, 23000, 4200]
    correct(brewhouse, 10, 20)
    assert kept(brewhouse, 5, 15, 25, 35) == [4000, 4000, 4000, 4200]
    climate = climate_of(brewhouse.place("COLD"), at(0), at(40))
    assert climate.mean_c == pytest.approx((4 * 30 + 4.2 * 10) / 40)
    correct(brewhouse, 10, 20, counts=True, reason="It was in the store after all")
    assert kept(brewhouse, 5, 15, 25, 35) == [4000, 22000, 23000, 4200]


def test_what_was_within_the_band_of_a_wrong_reading_is_told_by_itself(brewhouse: Brewhouse):
    """The second reading made no step, since it was near the wrong one; it must not go with it."""
    take(brewhouse, (0, 4), (10, 9), (20, 9.3))
    correct(brewhouse, 10, 10)
    assert kept(brewhouse, 5, 15, 25) == [4000, 4000, 9300]


def test_what_people_told_stands(brewhouse: Brewhouse):
    take(brewhouse, (0, 4), (10, 22), (30, 23))
    keep_place_at(location=brewhouse.place("COLD"), milli_c=6000, since=at(20), **brewhouse.by("quality"))
    correct(brewhouse, 10, 40)
    assert kept(brewhouse, 5, 15, 25, 35) == [4000, 4000, 6000, 6000]


def test_another_logger_of_the_place_is_heard_again(brewhouse: Brewhouse):
    take(brewhouse, (0, 4), (10, 22))
    take(brewhouse, (5, 4.2), (10, 5), (15, 5.1), logger="T-2")
    correct(brewhouse, 0, 20)
    assert kept(brewhouse, 7, 12, 16) == [4200, 5000, 5000]


def test_what_comes_later_of_the_same_time_does_not_count_either(brewhouse: Brewhouse):
    take(brewhouse, (0, 4), (10, 22))
    correct(brewhouse, 10, 20)
    take(brewhouse, (12, 25), (25, 4.1))
    assert kept(brewhouse, 15, 30) == [4000, 4000]
    assert [row.counts for row in judged(ClimateReading.objects.order_by("read_at"))] == [True, False, False, True]


def test_a_reading_that_does_not_count_is_no_excursion(brewhouse: Brewhouse):
    limit(brewhouse)
    take(brewhouse, (hours_ago(5), 4), (hours_ago(3), 14))
    look("out_of_climate")
    alert = Alert.objects.get(kind="out_of_climate")
    correct(brewhouse, hours_ago(4), hours_ago(2))
    look("out_of_climate")
    alert.refresh_from_db()
    assert alert.closed_at


def test_hops_are_reckoned_anew(brewhouse: Brewhouse):
    """They cross their limit when they would have if the wrong figure had never been read."""
    keep_at("COLD", 4)
    brewhouse.deliver("SAAZ", "H1", "20 kg", "COLD", supplier="HOPYARD")
    Laboratory(brewhouse).enter("H1", values={"alpha": "4"}, number="A-7", issued_on=START.date())
    crosses: list[datetime] = []
    for change in (lambda: None, lambda: take(brewhouse, (24, 35), (24 * 9, 4)), lambda: correct(brewhouse, 24, 24)):
        change()
        work_off()
        moment = Keeping.objects.get(rule=ALPHA).crosses_at
        assert moment
        crosses.append(moment)
    before, warm, after = crosses
    assert warm < before == after


@pytest.mark.parametrize(
    ("hours", "more", "refusal"),
    [
        ((0, 10), {"logger": "T-9"}, NothingRead),
        ((1, 10), {}, NothingRead),
        ((10, 0), {}, InvalidInput),
        ((0, 10), {"reason": " "}, ReasonMissing),
        ((0, 10), {"place": "transformed"}, WrongPlace),
    ],
)
def test_what_cannot_be_is_refused(
    brewhouse: Brewhouse, hours: tuple[float, float], more: dict[str, Any], refusal: type[Exception]
):
    take(brewhouse, (0, 4))
    with pytest.raises(refusal):
        correct(brewhouse, *hours, **more)
    assert not ClimateCorrection.objects.exists()


def test_it_is_done_once_and_never_changed(brewhouse: Brewhouse):
    take(brewhouse, (0, 4), (10, 22))
    key = rid()
    assert correct(brewhouse, 10, 20, request_id=key) == correct(brewhouse, 10, 20, request_id=key)
    with pytest.raises(Error) as changed, transaction.atomic():
        ClimateCorrection.objects.update(counts=True)
    assert broken_rule(changed.value) == "corrections_of_climates_are_never_changed"
    with pytest.raises(OtherReading, match="say on the place's page that it does not count"):
        take(brewhouse, (10, 4))
    with pytest.raises(ReadAlready):
        take(brewhouse, (10, 22))


def test_the_page_says_what_does_not_count(client: Client, brewhouse: Brewhouse):
    take(brewhouse, (hours_ago(5), 4), (hours_ago(3), 22))
    wrong = ClimateReading.objects.get(milli_c=22_000)
    address = f"/climate/{brewhouse.place('COLD').pk}/"
    client.force_login(brewhouse.people["quality"])
    told = {"logger": "T-1", "said": "no", "reason": "Battery changed", "request_id": rid()}
    minute = wrong.read_at.astimezone(brewery_zone())
    then = {"first_at": "2026-01-01T00:00", "last_at": "2026-01-02T00:00"}
    early = client.post(f"{address}correction/", {**told, **then})
    assert early.status_code == 400
    assert "Logger T-1 read nothing in Cold store" in early.content.decode()
    swapped = {"first_at": then["last_at"], "last_at": then["first_at"]}
    words = "last_at: &#x27;2026-01-01 00:00&#x27; is not valid. It must not be before the first moment."
    assert words in client.post(f"{address}correction/", {**told, **swapped}).content.decode()
    span = {"first_at": f"{minute:%Y-%m-%dT%H:%M}", "last_at": f"{minute:%Y-%m-%dT%H:%M}"}
    assert client.post(f"{address}correction/", {**told, **span}).status_code == 303
    page = client.get(address).content.decode()
    assert "Battery changed" in page
    assert "Mean 4.0 °C" in page
    read = Api(brewhouse).get("climate-readings/", "auditor").json()["results"]
    assert {row["temperature_c"]: row["counts"] for row in read} == {"4": True, "22": False}


MOMENTS = st.integers(0, 30)
READINGS = st.lists(
    st.tuples(MOMENTS, st.sampled_from(["T-1", "T-2"]), st.integers(0, 12)),
    unique_by=lambda one: one[:2],
    min_size=1,
    max_size=14,
)
SPANS = st.lists(st.tuples(MOMENTS, MOMENTS, st.booleans()), max_size=4)
TOLD = st.lists(st.tuples(MOMENTS, st.integers(0, 12)), max_size=2)


@settings(
    max_examples=60,
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(readings=READINGS, told=TOLD, spans=SPANS)
def test_whatever_is_corrected_the_warmth_is_within_the_band_of_what_counts(
    brewhouse: Brewhouse,
    readings: list[tuple[int, str, int]],
    told: list[tuple[int, int]],
    spans: list[tuple[int, int, bool]],
):
    """At every reading that counts, unless a person said otherwise since; where none does, as nobody had read."""
    with transaction.atomic():
        place = brewhouse.place("COLD")
        for hours, celsius in told:
            keep_place_at(location=place, milli_c=celsius * 1000, since=at(hours), **brewhouse.by("quality"))
        for logger in ("T-1", "T-2"):
            if of_logger := [(hours, celsius) for hours, name, celsius in sorted(readings) if name == logger]:
                take(brewhouse, *of_logger, logger=logger)
        for first, last, counts in spans:
            meant = {"location": place, "logger": "T-1", "read_at__range": (at(first), at(last))}
            if first <= last and ClimateReading.objects.filter(**meant).exists():
                correct(brewhouse, first, last, counts=counts)
        moments = {hours for hours, _ in told}
        rows = list(counting(ClimateReading.objects.filter(location=place)))
        twice = [row.read_at for row in rows]
        for row in rows:
            if (row.read_at - at(0)) / timedelta(hours=1) in moments or twice.count(row.read_at) > 1:
                continue
            there = warmth_of(place, row.read_at)
            assert there is not None
            assert abs(there - row.milli_c) <= 500
        if not rows:
            nobody_read = sorted({at(hours): celsius * 1000 for hours, celsius in told}.items())
            span = (at(-1), at(40))
            nominal = place.nominal_milli_c
            assert list(cut(changes_of(place), nominal, *span)) == list(cut(nobody_read, nominal, *span))
        transaction.set_rollback(True)
