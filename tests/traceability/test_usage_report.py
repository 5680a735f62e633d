"""Usage: every figure of every report is a sum over postings that plain Python finds too, however it is cut."""

import csv
import io
import json
from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import accumulate
from pathlib import Path
from random import Random

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

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
from traceability.queries.usage_postings import FIGURES, Figure
from traceability.queries.usage_report import NO_WORK, By, usage_rows
from traceability.queries.usage_tables import Units, usage_table
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
    phases=(Phase.generate,),
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
        plain = plain_postings()
        is_the_plain_sum(period, rows, plain)
        used_is_told_apart_and_nothing_is_lost(period, plain)
        is_worth_what_its_lots_cost(period, rows, plain, costs)
        transaction.set_rollback(True)


def costs_of_some(house: Brewhouse, random: Random) -> dict[int, int]:
    """Say what some lots cost, of some twice; return what counts in ten-thousandths, by lot."""
    told: dict[int, int] = {}
    for lot in Lot.objects.filter(material__kind__in=RAW, reversed_by=None).order_by("pk"):
        for _ in range(random.randrange(3)):
            told[lot.pk] = random.randrange(1, 90_000)
            record_cost(lot=lot, unit_cost_e4=told[lot.pk], currency="EUR", **house.by("accounting"))
    return told


COLUMN_BY_OTHER_SIDE = {
    "supplier": "received",
    "process": "used",
    "customer": "shipped",
    "laboratory": "sampled",
    "loss": "lost",
    "destroyed": "destroyed",
    "sent_back": "sent_back",
    "count_difference": "counted",
}


@dataclass(frozen=True)
class Plain:
    """A posting as plain Python reads it, what is undone taken off: on which side it changed the stock, and by what."""

    material: str
    lot: Lot
    day: date
    column: str
    micro: int
    work: str
    product: str


def plain_postings() -> list[Plain]:
    """Every posting of a raw material that changed what is on hand."""
    works = {work.location_id: work for model in (Brew, PackagingRun) for work in model.objects.select_related("beer")}
    made = {lot.made_by_id: lot for lot in Lot.objects.select_related("material").order_by("-pk")}
    found = []
    for row in Posting.objects.select_related(
        "event__reverses", "lot__material", "lot__made_by", "from_location", "to_location"
    ):
        source, target, event, times = row.from_location, row.to_location, row.event, 1
        if event.reverses:
            source, target, event, times = target, source, event.reverses, -1
        sign = (target.kind in HERE) - (source.kind in HERE)
        if not sign or row.lot.material.kind not in RAW:
            continue
        other = source if sign > 0 else target
        work, result = works.get(other.pk), made.get(event.pk)
        if other.kind == "transformed":
            column = "received" if event.kind in ("receive", "refill") else "produced" if sign > 0 else "used"
            told = plain_work(result) if result else (NO_WORK, NO_WORK)
        else:
            column = "came_back" if other.kind == "process" and sign > 0 else COLUMN_BY_OTHER_SIDE[other.kind]
            told = (work.code, work.beer.name) if work else (NO_WORK, NO_WORK)
        micro, day = times * sign * row.quantity_micro, brewery_day(row.event.happened_at)
        found.append(Plain(row.lot.material.code, row.lot, day, column, micro, *told))
    return found


def plain_work(made: Lot) -> tuple[str, str]:
    """What was made: of wort and beer the brews it came of and their beer, where it is one; otherwise the lot."""
    brews = brews_of(made) if made.material.kind in ("wort", "beer") else set()
    beers = {brew.beer.name for brew in brews}
    codes = " + ".join(brew.code for brew in sorted(brews, key=lambda brew: brew.pk))
    return codes or made.code, beers.pop() if len(beers) == 1 else made.material.name


def brews_of(lot: Lot) -> set[Brew]:
    """The brews whose wort went into the lot, link by link."""
    found = set()
    for link in lot.links_to_parents.filter(kind=1, reversed_by=None).select_related("parent__material"):
        wort = link.parent
        if wort.material.kind == "wort" and wort.made_by.kind == "knock_out":
            found.add(Brew.objects.select_related("beer").get(code=wort.made_by.reference))
        found |= brews_of(wort)
    return found


def is_the_plain_sum(period: Period, rows, plain: list[Plain]) -> None:
    """What opens, moves and closes is what one posting after another leaves on hand, column by column."""
    opening, closing, columns = Counter(), Counter(), Counter()
    for one in plain:
        opening[one.material] += one.micro * (one.day < period.first)
        closing[one.material] += one.micro * (one.day <= period.last)
        columns[one.material, one.column] += one.micro * (period.first <= one.day <= period.last)
    assert {row.material.code: row.opening_micro for row in rows if row.opening_micro} == nonzero(opening)
    assert {row.material.code: row.closing_micro for row in rows if row.closing_micro} == nonzero(closing)
    assert nonzero(columns) == {
        (row.material.code, column): amount for row in rows for column, amount in row.columns.items() if amount
    }
    for row in rows:
        assert row.opening_micro + sum(row.columns.values()) == row.closing_micro
        figures = {**row.columns, "opening": row.opening_micro, "closing": row.closing_micro}
        assert {*figures, "net"} == set(FIGURES)
        for name, amount in figures.items():
            leads_to_its_postings(Figure(period, row.material, name), amount)


def leads_to_its_postings(figure: Figure, amount: int) -> None:
    """The postings are the figure, also one after the other, and each page goes on where the one before ended."""
    rows = figure.postings()
    assert sum(one.micro for one in rows) == amount == figure.total_micro
    assert figure.count == len(rows)
    assert [one.so_far_micro for one in rows] == list(accumulate(one.micro for one in rows))
    assert figure.postings(1, 2) == rows[1:3]


def used_is_told_apart_and_nothing_is_lost(period: Period, plain: list[Plain]) -> None:
    """By product, brew and lot, each part is the sum of its own postings; by lot so is every column."""
    inside = [one for one in plain if period.first <= one.day <= period.last]
    told_of_works = ("used", "came_back")
    keys = {By.PRODUCT: lambda one: one.product, By.BREW: lambda one: one.work, By.LOT: lambda one: one.lot.code}
    for by, key in keys.items():
        wanted = Counter()
        for one in inside:
            wanted[one.material, key(one), one.column] += one.micro * (by is By.LOT or one.column in told_of_works)
        rows = usage_rows(period, by)
        assert nonzero(wanted) == {
            (row.material.code, row.key, column): amount
            for row in rows
            for column, amount in row.columns.items()
            if amount
        }
        for row in rows:
            for column in told_of_works:
                leads_to_its_postings(Figure(period, row.material, column, by, row.key), row.columns[column])


def is_worth_what_its_lots_cost(period: Period, rows, plain: list[Plain], costs: dict[int, int]) -> None:
    """By exact fractions, posting by posting; a mixture by what went into it, all the way down."""
    value, bare = Counter(), Counter()
    for one in plain:
        if one.column in ("used", "came_back") and period.first <= one.day <= period.last:
            unit, known = plain_unit_cost(one.lot, costs)
            value[one.material] -= one.micro * unit
            bare[one.material] -= one.micro * (1 - known)
    for row in rows:
        assert abs(row.cost.value.get("EUR", 0) - value[row.material.code]) < Fraction(1, 10**6)
        assert abs(row.cost.bare - bare[row.material.code]) < 1
        figure = Figure(period, row.material, "net")
        leads_to_its_postings(figure, -row.used_micro)
        assert nonzero(figure.cost.negative.value) == nonzero(row.cost.value)
        assert figure.cost.negative.bare == row.cost.bare


def plain_unit_cost(lot: Lot, costs: dict[int, int]) -> tuple[Fraction, Fraction]:
    """What one micro-unit of a lot cost, and the share of it that has a cost."""
    if lot.pk in costs:
        return Fraction(costs[lot.pk], 10**10), Fraction(1)
    parts = []
    if lot.made_by.kind in ("receive", "refill", "move"):
        parts = list(lot.links_to_parents.filter(kind=1, reversed_by=None).select_related("parent__made_by"))
    whole, unit, known = sum(part.quantity_micro for part in parts), Fraction(0), Fraction(0)
    for part in parts:
        one, share = plain_unit_cost(part.parent, costs)
        unit += Fraction(part.quantity_micro, whole) * one
        known += Fraction(part.quantity_micro, whole) * share
    return unit, known


def nonzero(sums):
    return {key: amount for key, amount in sums.items() if amount}


def test_what_came_back_of_a_draw_stands_apart_and_costs_nothing(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg", hours=0)
    brew = brewhouse.start_brew("B1", hours=1)
    brewhouse.draw(brew, ("H1", "STORE", "3 kg"), hours=1)
    brewhouse.bring_back(brew, ("H1", "STORE", "1 kg"), hours=2)
    record_cost(lot=brewhouse.lot("H1"), unit_cost_e4=100_000, currency="EUR", **brewhouse.by("accounting"))
    for by in (By.MATERIAL, By.BREW):
        (row,) = usage_rows(MARCH, by)
        assert (row.columns["used"], row.columns["came_back"]) == (-micro("3 kg"), micro("1 kg"))
        assert row.used_micro == micro("2 kg")
        assert row.cost.value == {"EUR": Fraction(20)}


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


def test_what_went_into_a_tank_is_told_under_the_brews_that_it_holds(brewhouse: Brewhouse):
    """Yeast, dry hops and filter aid went into the beer of one brew; crowns were drawn for a run."""
    brewhouse.whole_chain()
    spring = Period(date(2026, 3, 1), date(2026, 5, 31))
    assert {row.key for row in usage_rows(spring, By.BREW)} == {"B1", "R1"}
    assert {row.key for row in usage_rows(spring, By.PRODUCT)} == {brewhouse.material("LAGER").name}


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
    book = load_workbook(io.BytesIO(client.get(f"/usage/book.xlsx?{days}").content))
    assert [sheet.title for sheet in book] == ["About", *(f"By {by}" for by in By), "Beside sheets"]
    same_in_the_book(book["By material"], rows)
    for one, row in zip(answered, rows, strict=True):
        assert (one["material"], one["opening"], one["closing"], one["used_cost"]) == (
            row["material"],
            row["opening"],
            row["closing"],
            row["used_cost"],
        )
        assert one["columns"] == {name: row[name] for name in one["columns"]}
        assert f">{set_apart(row['closing'])}<" in shown
    (malt,) = [one for one in answered if one["material"] == "PILS"]
    assert malt["used_cost"] == "250.00 EUR"
    call_command("usage", "2026-03-01", "2026-03-31", mass="lb")
    told = capsys.readouterr().out
    assert "250.00 EUR" in told
    assert "-440.924524" in told
    assert "…" not in told


def same_in_the_book(sheet, rows) -> None:
    """Cell by cell, numbers as numbers."""
    head, *cells = sheet.iter_rows(values_only=True)
    for told, row in zip(cells, rows, strict=True):
        for name, cell in zip(head, told, strict=True):
            assert row[name] == ("" if cell is None else cell) or Decimal(row[name]) == Decimal(str(cell))


@pytest.mark.parametrize("by", ["product", "brew", "lot"])
def test_parts_are_told_the_same_by_file_answer_command_and_page(brewhouse: Brewhouse, client, tmp_path: Path, by: str):
    brewhouse.whole_chain()
    asked = f"first=2026-03-01&last=2026-03-31&by={by}&mass=lb&volume=US bbl"
    client.force_login(brewhouse.people["accounting"])
    sent = client.get(f"/usage/table.csv?{asked}").content.decode("utf-8-sig")
    options = {"by": by, "mass": "lb", "volume": "US bbl", "csv": tmp_path / "usage.csv"}
    call_command("usage", "2026-03-01", "2026-03-31", **options)
    rows = list(csv.DictReader(io.StringIO(sent)))
    assert list(csv.DictReader(io.StringIO((tmp_path / "usage.csv").read_text(encoding="utf-8")))) == rows
    shown = client.get(f"/usage/?{asked}").content.decode()
    answered = Api(brewhouse).get(f"usage/?{asked}", "accounting").json()
    for one, row in zip(answered, rows, strict=True):
        assert (one["material"], one["key"], one["unit"]) == (row["material"], row[by], row["unit"])
        assert one["columns"] == {name: row[name] for name in one["columns"]}
        assert all(f">{set_apart(amount)}</a>" in shown for amount in one["columns"].values())


def test_many_parts_are_shown_page_by_page_and_their_cost_is_of_all(brewhouse: Brewhouse, client, monkeypatch):
    monkeypatch.setattr("traceability.pages.usage.PAGE", 2)
    for number in range(1, 4):
        brewhouse.deliver("SAAZ", f"H{number}", "20 kg", hours=0, note=str(number))
        record_cost(lot=brewhouse.lot(f"H{number}"), unit_cost_e4=100_000, currency="EUR", **brewhouse.by("accounting"))
    brew = brewhouse.start_brew("B1", hours=1)
    for number in range(1, 4):
        brewhouse.draw(brew, (f"H{number}", "STORE", "1 kg"), hours=1)
    client.force_login(brewhouse.people["accounting"])
    address = "/usage/?first=2026-03-01&last=2026-03-31&by=lot"
    first, second = (client.get(f"{address}&page={page}").content.decode() for page in (1, 2))
    assert [[f"<td>H{number}</td>" in page for number in (1, 2, 3)] for page in (first, second)] == [
        [True, True, False],
        [False, False, True],
    ]
    assert ('rel="next"' in first, 'rel="next"' in second, 'rel="prev"' in second) == (True, False, True)
    assert all("What was used cost <strong>30.00 EUR</strong>" in page for page in (first, second))


def test_a_figure_leads_to_its_postings_page_by_page(brewhouse: Brewhouse, client, monkeypatch):
    monkeypatch.setattr("traceability.pages.usage_material.PAGE", 2)
    brewhouse.deliver("SAAZ", "H1", "20 kg", hours=0)
    brew = brewhouse.start_brew("B1", hours=1)
    for hours in (1, 2, 3):
        brewhouse.draw(brew, ("H1", "STORE", "1.5 kg"), hours=hours)
    brewhouse.draw(brewhouse.start_brew("B2", hours=1), ("H1", "STORE", "0.5 kg"), hours=4)
    record_cost(lot=brewhouse.lot("H1"), unit_cost_e4=100_000, currency="EUR", **brewhouse.by("accounting"))
    client.force_login(brewhouse.people["accounting"])
    address = f"/usage/{brewhouse.material('SAAZ').pk}/used/?first=2026-03-01&last=2026-03-31&by=brew&key=B1"
    first = client.get(address).content.decode()
    assert "3 postings, together <strong>-4.5 kg</strong>, which cost 45.00 EUR." in first
    assert 'rel="next"' in first
    assert "-3</td>" in first
    second = client.get(f"{address}&page=2").content.decode()
    assert 'rel="next"' not in second
    assert "-4.5</td>" in second
    for wrong in ("page=0", "page=x", "key=%00"):
        assert client.get(f"{address}&{wrong}").status_code == 404
    asked = "usage-postings/?first=2026-03-01&last=2026-03-31&material=SAAZ&column=used&by=brew&key=B1"
    told = Api(brewhouse).get(asked).json()
    assert (told["count"], told["total"], told["unit"]) == (3, "-4.5", "kg")
    assert [one["so_far"] for one in told["postings"]] == ["-1.5", "-3", "-4.5"]
    assert Api(brewhouse).get(f"{asked}&page=2").json()["postings"] == []


def test_malt_out_of_a_refilled_silo_costs_the_average_of_what_went_in(brewhouse: Brewhouse):
    """300 kg at 0.60 on 100 kg at 1.00, and 400 kg without a cost on that: half has a cost, at 0.70 by the quotient."""
    for lot, quantity, hours in (("M1", "100 kg", 0), ("M2", "300 kg", 1), ("M3", "400 kg", 2)):
        brewhouse.deliver("PILS", lot, quantity, "SILO1", hours=hours, contents_code=f"S{hours}" if hours else "")
    for lot, cost in (("M1", 10_000), ("M2", 6_000)):
        record_cost(lot=brewhouse.lot(lot), unit_cost_e4=cost, currency="EUR", **brewhouse.by("accounting"))
    brewhouse.draw(brewhouse.start_brew("B1", hours=3), ("S2", "SILO1", "200 kg"), hours=3)
    (row,) = usage_rows(MARCH)
    assert row.cost.value == {"EUR": Fraction(70)}
    assert row.cost.without_cost_micro == micro("100 kg")


def test_a_material_is_told_month_by_month_in_words(brewhouse: Brewhouse, client, time_machine):
    brewhouse.deliver("SAAZ", "H1", "20 kg", hours=0)
    brewhouse.draw(brewhouse.start_brew("B1", hours=1), ("H1", "STORE", "4 kg"), hours=1)
    brewhouse.draw(brewhouse.start_brew("B2", hours=1), ("H1", "STORE", "3 kg"), hours=31 * 24)
    brewhouse.count("H1", "STORE", "12.5 kg", hours=32 * 24)
    time_machine.move_to(START + timedelta(days=65))
    client.force_login(brewhouse.people["accounting"])
    shown = client.get(f"/usage/{brewhouse.material('SAAZ').pk}/").content.decode().replace("\xa0", " ")
    assert "In April 2026 3 kg were used, 25.00 % less than in March 2026; in May 2026 so far 0 kg." in shown
    assert "Most was used in March 2026: 4 kg." in shown
    assert "Lost, destroyed and missing in all these months: 0.5 kg, 7.14 % of what was used." in shown


def test_costs_are_not_told_to_who_may_not_see_them(brewhouse: Brewhouse, client):
    brewhouse.whole_chain()
    days = "first=2026-03-01&last=2026-03-31"
    assert {one["used_cost"] for one in Api(brewhouse).get(f"usage/?{days}", "brewing").json()} == {None}
    client.force_login(brewhouse.people["brewing"])
    assert "used_cost" not in client.get(f"/usage/table.csv?{days}").content.decode()
    assert "Cost of what was used" not in client.get(f"/usage/?{days}").content.decode()


def test_pounds_and_gallons_are_the_exact_ones(brewhouse: Brewhouse):
    """0.45359237 kg: UK Weights and Measures Act 1985; the quotient."""
    brewhouse.deliver("SAAZ", "H1", "20 kg", hours=0)
    (row,) = [
        dict(zip(table.header, cells, strict=True))
        for table in [usage_table(usage_rows(MARCH), By.MATERIAL, Units(mass="lb"))]
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


def test_a_brew_that_drew_more_than_its_sheet_wants_is_marked(brewhouse: Brewhouse, client):
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
    client.force_login(brewhouse.people["auditor"])
    days = "first=2026-03-01&last=2026-03-31"
    sent = client.get(f"/usage/sheets.csv?{days}&marked=on").content.decode("utf-8-sig")
    rows = {row["material"]: (row["wanted"], row["is_doubted"]) for row in csv.DictReader(io.StringIO(sent))}
    assert rows["PILS"] == ("200", "yes")
    assert set(rows) == {one.material.code for one in found.values() if one.is_doubted}
    shown = client.get(f"/usage/sheets/?{days}&marked=on").content.decode()
    assert f"/usage/sheets.csv?{days.replace('&', '&amp;')}&amp;marked=on" in shown
    assert client.get("/usage/sheets.csv?first=yesterday").status_code == 404
