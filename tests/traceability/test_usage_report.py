"""Usage: every figure of every report is a sum over postings that plain Python finds too, however it is cut."""

import csv
import io
import json
from collections import defaultdict
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from random import Random

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brewery.kernel.clock import brewery_day
from brewery.kernel.templatetags.shell import set_apart
from brewery.production.models import Brew, PackagingRun
from inventory.models import Event, Lot, Posting
from inventory.queries.usage import Period
from inventory.services.costs import record_cost
from tests.api.client import Api, problem_of
from tests.brewhouse import START, Brewhouse, micro
from tests.histories import History
from tests.production.brewday import brew_by, sheet_of
from traceability.queries.usage_moves import moves_of, postings_of_usage
from traceability.queries.usage_report import NO_WORK, By, usage_rows
from traceability.queries.usage_tables import usage_table
from traceability.queries.usage_variance import variances

HERE = {"store", "silo", "brink", "pallet", "fermenter", "bright_tank"}
RAW = {"malt", "adjunct", "hop", "yeast", "water", "salt", "fining", "filter_aid", "packaging"}
MARCH = Period(date(2026, 3, 1), date(2026, 3, 31))

pytestmark = pytest.mark.django_db


@settings(
    max_examples=15,
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(seed=st.integers(min_value=0, max_value=2**32), steps=st.integers(min_value=4, max_value=30))
def test_each_figure_of_a_random_season_is_the_sum_of_its_postings(brewhouse: Brewhouse, seed: int, steps: int):
    with transaction.atomic():
        random = Random(seed)
        History(brewhouse, random).play(steps)
        last = max(brewery_day(one.happened_at) for one in Event.objects.all())
        cut = brewery_day(START) + timedelta(days=random.randrange((last - brewery_day(START)).days + 1))
        period = Period(cut, last)
        costs = costs_of_some(brewhouse, random)
        rows = usage_rows(period)
        is_the_plain_sum(period, rows)
        used_is_told_apart_and_nothing_is_lost(period, rows)
        is_worth_what_its_lots_cost(period, rows, costs)
        transaction.set_rollback(True)


def costs_of_some(house: Brewhouse, random: Random) -> dict[int, int]:
    """Say what some lots cost, of some twice; return what counts in ten-thousandths, by lot."""
    told: dict[int, int] = {}
    for lot in Lot.objects.filter(material__kind__in=RAW, reversed_by=None).order_by("pk"):
        for _ in range(random.randrange(3)):
            told[lot.pk] = random.randrange(1, 90_000)
            record_cost(lot=lot, unit_cost_e4=told[lot.pk], currency="EUR", **house.by("accounting"))
    return told


def is_the_plain_sum(period: Period, rows) -> None:
    """What opens, moves and closes is what one posting after another leaves on hand."""
    opening: dict[str, int] = defaultdict(int)
    closing: dict[str, int] = defaultdict(int)
    for posting in Posting.objects.select_related("event", "lot__material", "from_location", "to_location"):
        material, day = posting.lot.material, brewery_day(posting.event.happened_at)
        sign = (posting.to_location.kind in HERE) - (posting.from_location.kind in HERE)
        if material.kind in RAW and day <= period.last:
            closing[material.code] += sign * posting.quantity_micro
            opening[material.code] += sign * posting.quantity_micro * (day < period.first)
    assert {row.material.code: row.opening_micro for row in rows if row.opening_micro} == nonzero(opening)
    assert {row.material.code: row.closing_micro for row in rows if row.closing_micro} == nonzero(closing)
    for row in rows:
        assert row.opening_micro + sum(row.columns.values()) == row.closing_micro
        for column, amount in row.columns.items():
            assert sum(micro for _, micro in postings_of_usage(period, row.material, column)) == amount


def used_is_told_apart_and_nothing_is_lost(period: Period, rows) -> None:
    """By product, brew and lot, the parts are what was used of the material; by lot so is every column."""
    whole = {row.material.code: row.used_micro for row in rows if row.used_micro}
    works = {*Brew.objects.values_list("code", flat=True), *PackagingRun.objects.values_list("code", flat=True)}
    lots = set(Lot.objects.values_list("code", flat=True))
    for by in (By.PRODUCT, By.BREW, By.LOT):
        parts: dict[str, int] = defaultdict(int)
        for row in usage_rows(period, by):
            parts[row.material.code] += row.used_micro
            assert by is not By.BREW or row.key in works | lots | {NO_WORK}
        assert nonzero(parts) == whole
    columns: dict[tuple[str, str], int] = defaultdict(int)
    for row in usage_rows(period, By.LOT):
        for column, amount in row.columns.items():
            columns[row.material.code, column] += amount
    assert nonzero(columns) == {
        (row.material.code, column): amount for row in rows for column, amount in row.columns.items() if amount
    }


def is_worth_what_its_lots_cost(period: Period, rows, costs: dict[int, int]) -> None:
    """By exact fractions, lot by lot."""
    value: dict[str, Fraction] = defaultdict(Fraction)
    bare: dict[str, int] = defaultdict(int)
    for move in moves_of(period):
        if move.column == "used":
            code = Lot.objects.get(pk=move.lot).material.code
            if move.lot in costs:
                value[code] += Fraction(-move.micro * costs[move.lot], 10**10)
            else:
                bare[code] -= move.micro
    assert {row.material.code: row.worth.value["EUR"] for row in rows if row.worth.value["EUR"]} == nonzero(value)
    assert {row.material.code: row.worth.without_cost_micro for row in rows if row.worth.without_cost_micro} == nonzero(
        bare
    )


def nonzero(sums):
    return {key: amount for key, amount in sums.items() if amount}


def test_closing_is_what_a_count_found_and_its_difference_stands_apart(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg", hours=0)
    brewhouse.draw(brewhouse.start_brew("B1", hours=1), ("H1", "STORE", "3 kg"), hours=1)
    brewhouse.count("H1", "STORE", "16.5 kg", hours=3)
    (row,) = usage_rows(MARCH)
    assert nonzero(row.columns) == {"received": micro("20 kg"), "used": -micro("3 kg"), "counted": -micro("0.5 kg")}
    assert row.closing_micro == micro("16.5 kg")


def test_what_was_used_is_told_by_brew_and_by_product(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    by_brew = {(row.material.code, row.key): row.used_micro for row in usage_rows(MARCH, By.BREW)}
    assert by_brew["PILS", "B1"] == micro("200 kg")
    by_product = {(row.material.code, row.key) for row in usage_rows(MARCH, By.PRODUCT)}
    assert ("PILS", brewhouse.material("LAGER").name) in by_product


def test_page_file_answer_and_command_tell_the_same(brewhouse: Brewhouse, client, tmp_path: Path, capsys):
    brewhouse.whole_chain()
    told = {"unit_cost_e4": 12_500, "currency": "EUR", **brewhouse.by("accounting")}
    record_cost(lot=brewhouse.lot("M1"), **told)
    days = "first=2026-03-01&last=2026-03-31"
    answered = Api(brewhouse).get(f"usage/?{days}", "accounting").json()
    client.force_login(brewhouse.people["accounting"])
    sent = client.get(f"/usage/table.csv?{days}&by=material").content.decode("utf-8-sig")
    call_command("usage", "2026-03-01", "2026-03-31", csv=tmp_path / "usage.csv")
    written = (tmp_path / "usage.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(io.StringIO(sent)))
    assert list(csv.DictReader(io.StringIO(written))) == rows
    shown = client.get(f"/usage/?{days}").content.decode()
    for one, row in zip(answered, rows, strict=True):
        assert (one["material"], one["opening"], one["closing"], one["used_cost"]) == (
            row["material"],
            row["opening"],
            row["closing"],
            row["used_cost"],
        )
        assert dict(one["columns"].items()) == {name: row[name] for name in one["columns"]}
        assert f">{set_apart(row['closing'])}<" in shown
    (malt,) = [one for one in answered if one["material"] == "PILS"]
    assert malt["used_cost"] == "250.00 EUR"
    call_command("usage", "2026-03-01", "2026-03-31")
    assert "250.00 EUR" in capsys.readouterr().out


def test_costs_are_not_told_to_who_may_not_see_them(brewhouse: Brewhouse, client):
    brewhouse.whole_chain()
    days = "first=2026-03-01&last=2026-03-31"
    assert {one["used_cost"] for one in Api(brewhouse).get(f"usage/?{days}", "brewing").json()} == {None}
    client.force_login(brewhouse.people["brewing"])
    assert "used_cost" not in client.get(f"/usage/table.csv?{days}").content.decode()
    assert "Used cost" not in client.get(f"/usage/?{days}").content.decode()


def test_pounds_and_gallons_are_the_exact_ones(brewhouse: Brewhouse):
    """0.45359237 kg: UK Weights and Measures Act 1985; the quotient."""
    brewhouse.deliver("SAAZ", "H1", "20 kg", hours=0)
    (row,) = [
        dict(zip(table.header, cells, strict=True))
        for table in [usage_table(usage_rows(MARCH), By.MATERIAL, customary=True)]
        for cells in table.rows
    ]
    assert row["unit"] == "lb"
    assert str(row["closing"]) == str(round(Decimal(20) / Decimal("0.45359237"), 6))


def test_a_period_the_wrong_way_round_is_refused(brewhouse: Brewhouse, client):
    problem_of(Api(brewhouse).get("usage/?first=2026-03-31&last=2026-03-01"), 400)
    problem_of(Api(brewhouse).get("usage-postings/?first=2026-03-01&last=2026-03-31&material=GOLD&column=used"), 400)
    with pytest.raises(CommandError, match="2026-03-01 is before 2026-03-31"):
        call_command("usage", "2026-03-31", "2026-03-01")
    client.force_login(brewhouse.people["accounting"])
    assert "not before the first" in client.get("/usage/?first=2026-03-31&last=2026-03-01").content.decode()
    assert client.get("/usage/table.csv?first=yesterday").status_code == 404


def test_a_brew_that_drew_more_than_its_sheet_wants_is_marked(brewhouse: Brewhouse):
    """200 kg are wanted for 1000 L; 100 g of alpha acids are 2.5 kg of 4 %, and of 3 kg the sheet has 20 % too much."""
    brewhouse.stock_up()
    brew_by(brewhouse, sheet_of(brewhouse), "B7", cold_wort_micro=micro("1000 L"), hours=2)
    brewhouse.draw(brewhouse.brew("B7"), ("M1", "SILO1", "230 kg"), hours=3, reason="a wet sack")
    found = {one.material.code: one for one in variances(MARCH)}
    malt = found["PILS"]
    assert (malt.wanted_micro, malt.drawn_micro, malt.off_pct, malt.is_doubted) == (
        micro("200 kg"),
        micro("230 kg"),
        15.0,
        True,
    )
    hops = found["SAAZ"]
    assert (hops.is_alpha, hops.wanted_micro, hops.drawn_micro, hops.off_pct) == (True, micro("0.1 kg"), 0, -100.0)
    told = json.loads(Api(brewhouse).get("usage-variances/?first=2026-03-01&last=2026-03-31").content)
    assert next((one["material"], one["wanted"], one["drawn"], one["off_pct"]) for one in told) == (
        "PILS",
        "200",
        "230",
        15.0,
    )
