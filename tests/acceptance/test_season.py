"""The invented brewery's whole season: it loads through the services, and every answer about it holds together."""

import shlex
from collections import defaultdict
from fractions import Fraction
from io import StringIO
from pathlib import Path
from random import Random

import networkx
import pytest
from django.conf import settings
from django.contrib.auth.models import Group
from django.core.management import call_command
from django.test import Client

from brewery.kernel.access import Role
from brewery.kernel.models import Request, User
from brewery.production.models import Brew, PackagingRun
from brewery.production.queries.customer_orders import customer_orders, in_state
from brewery.production.services.records.kinds import KINDS
from brewery.production.services.records.loading import Tally, load_folder
from brewery.production.services.records.reading import read_folder
from inventory.models import Event, Link, Lot, Material
from inventory.queries.audits import run_audits
from inventory.queries.turnover import turnover_of
from tests.acceptance.stock_told import (
    in_the_api,
    in_the_csv,
    in_the_workbook,
    on_hand_by_the_files,
    on_the_page,
    received_by_the_files,
)
from tests.fixtures.replay import Replay, read_tables
from tests.standing import built_once
from traceability.queries.graph import Direction
from traceability.queries.mass_balance import mass_balance
from traceability.queries.trace import trace

SEASON = Path(settings.BASE_DIR) / "fixtures_demo"
README = Path(settings.BASE_DIR) / "README.md"

pytestmark = pytest.mark.usefixtures("tallies")


@built_once
def tallies(db: None) -> list[Tally]:
    """The whole season is on record."""
    return load_folder(SEASON)


def records_of(tallies: list[Tally], name: str) -> int:
    return next(tally.records for tally in tallies if tally.file == f"{name}.csv")


def test_every_kind_of_file_is_in_it(tallies: list[Tally]):
    assert [tally.file for tally in tallies] == [kind.file for kind in KINDS.values()]


def test_every_record_was_asked_for_once(tallies: list[Tally]):
    asked = {record.request_id for record in read_folder(SEASON)}
    assert len(asked) == sum(tally.new for tally in tallies)
    within = ("restock_returned", "destroy_returned", "retain_sample", "throw_away_sample")
    steps = Request.objects.filter(action__in=within).count()
    assert asked < set(Request.objects.values_list("pk", flat=True))
    assert Request.objects.count() == len(asked) + steps


def test_every_packaged_lot_was_released_on_what_was_measured_of_it_or_held():
    lots = Lot.objects.filter(material__kind=Material.Kind.PACKAGED, reversed_by=None)
    assert lots.exclude(certificates__values__property="alcohol").count() == 0
    assert set(lots.values_list("disposition", flat=True)) == {"released", "on_hold", "rejected"}


def test_some_orders_are_open_and_the_others_are_shipped(tallies: list[Tally]):
    open_now, shipped = (in_state(customer_orders(), state).count() for state in ("open", "shipped"))
    assert open_now == 6
    assert open_now + shipped == records_of(tallies, "customer_orders")


def test_every_brew_and_run_is_under_way_or_done(tallies: list[Tally]):
    assert Brew.objects.count() == records_of(tallies, "brews")
    assert PackagingRun.objects.count() == records_of(tallies, "packaging_runs")
    assert Event.objects.filter(kind=Event.Kind.KNOCK_OUT).count() == records_of(tallies, "knock_outs")
    assert Event.objects.filter(kind=Event.Kind.PACKAGE).count() == records_of(tallies, "packagings")


def test_the_ledger_agrees_with_its_postings():
    assert [finding for _, findings in run_audits() for finding in findings] == []


def test_a_second_load_finds_all_of_it_there(tallies: list[Tally]):
    again = load_folder(SEASON)
    assert sum(tally.new for tally in again) == 0
    assert [tally.already_there for tally in again] == [tally.new for tally in tallies]


def test_the_trace_in_the_readme_is_what_the_command_prints():
    block = README.read_text().split("<!-- keg trace: begin -->")[1].split("<!-- keg trace: end -->")[0]
    lines = block.strip().removeprefix("```text\n").removesuffix("```").splitlines()
    command, printed = lines[0], lines[1:]
    words = shlex.split(command.removeprefix("$ python3 manage.py "))
    out = StringIO()
    call_command(*words, stdout=out)
    assert [line.rstrip() for line in printed] == out.getvalue().splitlines()


def test_the_mass_balance_of_every_lot_closes():
    lots = Lot.objects.filter(reversed_by=None).select_related("material")
    assert len(lots) > 600
    assert [lot.code for lot in lots if not mass_balance(lot).closes] == []


def test_the_mass_balance_of_a_malt_closes_at_every_moment_of_its_life():
    lot = Lot.objects.filter(supplier__isnull=False, links_to_children__isnull=False).earliest("pk")
    moments = Event.objects.filter(kind=Event.Kind.PACKAGE).values_list("happened_at", flat=True)
    assert [moment for moment in moments if not mass_balance(lot, as_of=moment).closes] == []


def test_what_is_on_hand_of_every_material_is_receipts_less_draws_less_losses_wherever_it_is_told(client: Client):
    """The expectation is played from the files alone, in plain dictionaries."""
    expected = on_hand_by_the_files(Replay(read_tables(SEASON)))
    assert len([micro for micro in expected.values() if micro]) > 50
    person = User.objects.create_user("reader")
    person.groups.set(Group.objects.filter(name=Role.AUDITOR))
    client.force_login(person, "django.contrib.auth.backends.ModelBackend")
    assert on_the_page(client) == expected
    assert in_the_api(client) == expected
    assert in_the_csv(client) == expected
    assert in_the_workbook(client) == {code: micro for code, micro in expected.items() if micro}


def test_every_way_in_and_out_of_every_material_adds_up_to_what_is_on_hand():
    book = Replay(read_tables(SEASON))
    expected, received = on_hand_by_the_files(book), received_by_the_files(book)
    for turnover in turnover_of(Material.objects.all()):
        code = turnover.material.code
        assert (turnover.on_hand_micro, turnover.flows["received"]) == (expected[code], received[code]), code


def test_traces_reach_what_networkx_reaches():
    links = Link.objects.filter(reversed_by=None).values_list("parent", "child")
    graph = networkx.DiGraph(list(links))
    for lot in Lot.objects.filter(pk__in=graph):
        assert set(trace(lot, Direction.BACK).reached) == networkx.ancestors(graph, lot.pk)
        assert set(trace(lot, Direction.FORWARD).reached) == networkx.descendants(graph, lot.pk)


def test_shares_are_those_of_exact_fractions():
    """Of some raw lots forward, the one that reaches furthest among them, by whole numbers and fractions alone."""
    rows = Link.objects.filter(reversed_by=None).order_by("child").values_list("parent", "child", "quantity_micro")
    links, totals = list(rows), {lot.pk: lot.total_micro for lot in Lot.objects.filter(reversed_by=None)}
    graph = networkx.DiGraph([(parent, child) for parent, child, _ in links])
    raw = Lot.objects.filter(supplier__isnull=False, pk__in=graph).values_list("pk", flat=True)
    furthest = max(raw, key=lambda lot: len(networkx.descendants(graph, lot)))
    for lot in (furthest, *Random(5).sample(sorted(raw), 20)):
        exact: dict[int, Fraction] = defaultdict(Fraction, {lot: Fraction(totals[lot])})
        for parent, child, quantity in links:
            if parent in exact:
                exact[child] += exact[parent] * quantity / totals[parent]
        found = trace(lot, Direction.FORWARD).amounts
        assert found.keys() == exact.keys()
        for key, amount in exact.items():
            assert abs(found[key] - amount) <= 1e-9 * max(amount, 1), (lot, key)


def test_back_and_forward_are_one_relation_read_both_ways():
    """What of a keg lot is malt, read from the keg, is what of the malt is in the keg, read from the malt."""
    kegs = [trace(lot, Direction.BACK) for lot in Lot.objects.filter(material__kind="packaged")]
    for malt in Lot.objects.filter(material__kind="malt", supplier__isnull=False):
        forward = trace(malt, Direction.FORWARD)
        for keg in kegs:
            there, back = forward.amounts.get(keg.subject, 0.0), keg.amounts.get(malt.pk, 0.0)
            assert abs(there - back) <= 1e-9 * max(there, 1.0)
