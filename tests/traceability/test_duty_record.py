"""The duty record: each line is a sum over postings that plain Python finds too, and opening and lines make closing."""

import os
from collections import defaultdict
from datetime import date, timedelta
from random import Random

import pytest
from django.db import Error, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brewery.kernel.clock import brewery_day
from brewery.kernel.database.refusals import broken_rule
from brewery.kernel.errors import InvalidInput
from inventory.models import Event, Location, Material, Posting
from inventory.queries.usage import Period
from tests.api.client import Api
from tests.brewhouse import START, Brewhouse, at
from tests.histories import History
from tests.ledger import refused
from traceability.models import DutyPurpose, DutyStanding
from traceability.queries.duty_lines import LINES
from traceability.queries.duty_moments import edges
from traceability.queries.duty_record import duty_record, lines_between, litres, postings_of, totals
from traceability.services.duty import BeerLiesThere, tell_purpose, tell_standing

HISTORIES = int(os.environ.get("HISTORIES", "15"))
HERE = ("store", "silo", "fermenter", "bright_tank", "brink", "process", "pallet")
MARCH = Period(date(2026, 3, 1), date(2026, 3, 31))

pytestmark = pytest.mark.django_db


@settings(
    max_examples=HISTORIES,
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(seed=st.integers(min_value=0, max_value=2**32), steps=st.integers(min_value=4, max_value=30))
def test_each_line_of_a_random_season_is_the_sum_of_its_postings(brewhouse: Brewhouse, seed: int, steps: int):
    with transaction.atomic():
        random = Random(seed)
        standings = stand_somehow(brewhouse, random)
        History(brewhouse, random).play(steps)
        purposes = purposes_of_some(brewhouse, random)
        days = (brewery_day(START), max(brewery_day(one.happened_at) for one in Event.objects.all()))
        cut = days[0] + timedelta(days=random.randrange((days[1] - days[0]).days + 1))
        whole, second = Period(days[0], days[1]), Period(cut, days[1])
        for period in (whole, second):
            is_the_plain_sum(period, standings, purposes)
        ends_where_it_lies(whole, standings)
        ends_where_it_lies(second, standings)
        transaction.set_rollback(True)


def stand_somehow(house: Brewhouse, random: Random) -> dict[str, str]:
    """Tell standings of some places and parties from before the beginning; return them by code of the location."""
    told = {"MARKET": random.choice(["abroad", "in_bond", "duty_paid"]), "COLD": random.choice(["duty_paid", ""])}
    since = START - timedelta(days=9)
    for code, standing in told.items():
        if standing:
            of = {"party": house.party(code)} if code == "MARKET" else {"place": house.place(code)}
            tell_standing(standing=standing, since=since, **of, **house.by("accounting"))
    return told


def purposes_of_some(house: Brewhouse, random: Random) -> dict[int, str]:
    """Tell the purpose of some shipments, of some twice; return what counts by event."""
    told: dict[int, str] = {}
    for event in Event.objects.filter(kind="ship").order_by("pk"):
        for _ in range(random.randrange(3)):
            told[event.pk] = random.choice(DutyPurpose.Purpose.values)
            tell_purpose(event=event, purpose=told[event.pk], **house.by("accounting"))
    return told


def is_the_plain_sum(period: Period, standings: dict[str, str], purposes: dict[int, str]) -> None:
    """The record's lines, and what opens it, are what one posting after another comes to."""
    start, end = edges(period)
    opening: dict[str, int] = defaultdict(int)
    lines: dict[tuple[str, str], int] = defaultdict(int)
    related = ("event__reverses", "lot__material", "from_location__party", "to_location__party")
    for posting in Posting.objects.select_related(*related):
        material, happened = posting.lot.material, posting.event.happened_at
        if material.kind not in ("beer", "packaged") or happened >= end:
            continue
        pico = posting.quantity_micro * (material.contents_micro or 10**6)
        for line, amount in plain_lines(posting, standings, purposes, pico):
            if happened < start:
                opening[material.code] += amount
            else:
                lines[material.code, line] += amount
    rows = duty_record(period)
    assert {row.beer.product: row.opening_pico for row in rows if row.opening_pico} == nonzero(opening)
    assert {(row.beer.product, name): pico for row in rows for name, pico in row.lines.items() if pico} == nonzero(
        lines
    )
    for name in {name for _, name in lines}:
        found = postings_of(period, name)
        assert sum(pico for _, pico in found) == totals(rows)[name]


def nonzero(sums):
    return {key: amount for key, amount in sums.items() if amount}


def plain_lines(posting, standings, purposes, pico):
    """What a posting is to duty, told of what it undoes where it is a reversal."""
    event, source, target = posting.event, posting.from_location, posting.to_location
    if event.reverses_id:
        event, source, target, pico = event.reverses, target, source, -pico
    into, out = bonded(target, standings), bonded(source, standings)
    if source.kind == "transformed" and target.kind in HERE:
        yield made(event.kind), pico
        if not into:
            yield "tasting_room", -pico
    elif target.kind == "transformed" and source.kind in HERE:
        if not out:
            yield "returned", pico
        yield made(event.kind), -pico
    elif into and not out:
        yield {"count_difference": "surplus", "laboratory": "sampled"}.get(source.kind, "returned"), pico
    elif out and not into:
        yield gone(event, target, standings, purposes), -pico


def bonded(place: Location, standings: dict[str, str]) -> bool:
    return place.kind in HERE and standings.get(place.code) != "duty_paid"


def made(kind: str) -> str:
    names = {
        "package": "packaged",
        "rework": "reworked",
        "harvest": "with_yeast",
        "add": "added",
        "filter": "lost_filtering",
    }
    return "lost_filtering" if kind == "filter" else names.get(kind, "produced")


def gone(event: Event, target: Location, standings: dict[str, str], purposes: dict[int, str]) -> str:
    if target.kind == "customer":
        standing = standings.get(target.party.code, "")
        by_standing = {"abroad": "exported", "in_bond": "other_premises"}.get(standing, "removed")
        renamed = {"home_use": "removed", "export": "exported", "supplies": "supplied", "research": "researched"}
        renamed |= {"staff": "given_free", "other_premises": "other_premises", "unfit": "unfit"}
        return renamed[purposes[event.pk]] if event.pk in purposes else by_standing
    if target.kind == "loss":
        stages = {"filter": "lost_filtering", "package": "lost_packaging", "finish_run": "lost_packaging"}
        in_the_cellar = ("knock_out", "pitch", "transfer", "kraeusen", "blend", "add", "harvest", "propagate")
        return stages.get(event.kind, "lost_cellar" if event.kind in in_the_cellar else "lost_store")
    others = {"count_difference": "shortage", "laboratory": "sampled", "destroyed": "destroyed"}
    return {**others, "sent_back": "sent_back"}.get(target.kind, "tasting_room")


def ends_where_it_lies(period: Period, standings: dict[str, str]) -> None:
    """What is in bond at the end is what lies in the places in bond, of every product and container."""
    lying: dict[tuple[str, int], int] = defaultdict(int)
    for posting in Posting.objects.select_related("lot__material", "from_location", "to_location"):
        material = posting.lot.material
        if material.kind in ("beer", "packaged"):
            pico = posting.quantity_micro * (material.contents_micro or 10**6)
            key = (material.code, material.contents_micro or 0)
            lying[key] += pico * (bonded(posting.to_location, standings) - bonded(posting.from_location, standings))
    found = {(row.beer.product, row.beer.contents_micro): row.closing_pico for row in duty_record(period)}
    assert nonzero(found) == nonzero(lying)


def test_a_season_is_read_line_by_line(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    told = {name: litres(pico) for name, pico in totals(duty_record(MARCH)).items() if pico}
    assert told == {
        "produced": "1000",
        "with_yeast": "-20",
        "lost_filtering": "-10",
        "lost_packaging": "-5",
        "removed": "-200",
        "returned": "50",
        "closing": "815",
    }
    april = totals(duty_record(Period(date(2026, 4, 1), date(2026, 4, 30))))
    assert {name: litres(pico) for name, pico in april.items() if pico} == {"opening": "815", "closing": "815"}


def test_what_was_recorded_late_stands_apart_from_what_was_on_hand(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    known = max(event.recorded_at for event in Event.objects.all())
    brewhouse.destroy("KEG1", "COLD", "2 each", hours=350)
    rows = duty_record(Period(date(2026, 4, 1), date(2026, 4, 30)), opened_by=known)
    assert {name: litres(pico) for name, pico in totals(rows).items() if pico} == {
        "opening": "815",
        "late": "-100",
        "closing": "715",
    }
    as_known = totals(duty_record(MARCH, known_by=known))
    assert litres(as_known["closing"]) == "815"


def test_a_place_with_beer_in_it_keeps_its_standing(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    with refused(BeerLiesThere, "Beer lay in Cold store at 2026-03-20 09:00 or since.", field="place"):
        tell_standing(place=brewhouse.place("COLD"), standing="duty_paid", since=at(432), **brewhouse.by("accounting"))


def test_only_a_shipment_has_a_purpose(brewhouse: Brewhouse):
    brewhouse.stock_up()
    event = Event.objects.first()
    with refused(InvalidInput, f"event: {event.pk} is not valid. It is a receive: choose a shipment.", field="event"):
        tell_purpose(event=event, purpose="export", **brewhouse.by("accounting"))
    assert not DutyPurpose.objects.exists()


def test_what_duty_was_told_is_never_changed(brewhouse: Brewhouse):
    told = tell_standing(party=brewhouse.party("INN"), standing="abroad", since=at(0), **brewhouse.by("accounting"))
    with pytest.raises(Error) as changed, transaction.atomic():
        DutyStanding.objects.filter(pk=told.pk).update(standing="in_bond")
    assert broken_rule(changed.value) == "standings_to_duty_are_never_changed"


def test_the_record_is_read_and_told_over_the_api(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    api = Api(brewhouse)
    shipment = Event.objects.get(kind="ship")
    assert api.post("duty-purposes/", {"event": shipment.pk, "purpose": "export"}, "accounting").status_code == 201
    told = {"place": "STORE", "standing": "duty_paid", "since": "2026-03-02T08:00:00Z"}
    assert api.post("duty-standings/", told, "accounting").status_code == 201
    answer = api.get("duty-records/?first=2026-03-01&last=2026-03-31", "auditor").json()
    kegs = next(row for row in answer["rows"] if row["container_l"] == "50")
    assert {line["line"]: line["litres"] for line in kegs["lines"]} == {
        "returned": "50",
        "packaged": "500",
        "exported": "-200",
    }
    assert kegs["container"] == ""
    assert (kegs["opening_l"], kegs["closing_l"], kegs["strength"]) == ("0", "350", "not measured")
    assert "not a filing" in answer["caution"]
    exported = api.get("duty-postings/?first=2026-03-01&last=2026-03-31&line=exported", "auditor").json()
    assert [(one["event"], one["lot"], one["litres"]) for one in exported] == [(shipment.pk, "KEG1", "-200")]


def test_what_packages_are_told_to_be_stands_beside_their_litres(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    Material.objects.filter(code="KEG50").update(container="keg")
    answer = Api(brewhouse).get("duty-records/?first=2026-03-01&last=2026-03-31", "auditor").json()
    assert {(row["container"], row["container_l"]) for row in answer["rows"]} == {("", None), ("keg", "50")}


def test_several_periods_at_once_are_what_each_is_alone(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    weeks = [Period(date(2026, 3, 1 + 7 * n), date(2026, 3, 7 + 7 * n)) for n in range(4)]
    for week, lines in zip(weeks, lines_between(weeks), strict=True):
        alone = totals(duty_record(week))
        assert lines == {name: alone[name] for name in LINES}
    assert sum(lines["removed"] for lines in lines_between(weeks)) == -200 * 10**12
