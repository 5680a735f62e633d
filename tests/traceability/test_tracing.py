"""A trace from anything: what a text means, which lots are meant, what is reached from them."""

from datetime import timedelta

import networkx
import pytest

from brewery.kernel.clock import on_the_wall
from inventory.models import Link, Location, Lot
from tests.brewhouse import START, Brewhouse
from tests.standing import built_once
from traceability.queries.graph import Direction
from traceability.queries.starts import lots_of_start
from traceability.queries.tracing import Narrowed, in_order, narrowed, totals_of, trace_all
from traceability.services.starts import understood


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.whole_chain()
    brewhouse.deliver("SAAZ", "H9", "1 kg", supplier="HOPYARD", supplier_lot="PM/77", note="N9", hours=400)
    return brewhouse


def meant(text: str) -> set[str]:
    return {start.named for start in understood(text).starts}


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("KEG1", {"lot:KEG1"}),
        ("keg1", {"lot:KEG1"}),
        ("]C1keg1", set()),
        ("FV1", {"place:FV1"}),
        ("fermenter 1", {"place:FV1"}),
        ("pm/77", {"supplier-lot:HOPYARD/PM/77"}),
        ("supplier-lot:HOPYARD/PM/77", {"supplier-lot:HOPYARD/PM/77"}),
        ("the heron inn", {"customer:INN"}),
        ("HOPYARD", {"supplier:HOPYARD"}),
        ("Saaz", {"material:SAAZ"}),
        ("ferment", {"place:FV1", "place:FV2"}),
        ("nothing of the kind", set()),
    ],
)
def test_a_text_means_what_bears_it_or_else_what_has_it_in_its_name(house, text, named):
    assert meant(text) == named


@pytest.mark.parametrize("form", ["FV1 {day} {time}", "FV1 on {day} at {time}", "place:FV1, {day}T{time}"])
def test_a_moment_at_the_end_says_when(house, form):
    at = START + timedelta(hours=90)
    day, time = on_the_wall(at).split()
    understood_text = understood(form.format(day=day, time=time))
    assert [start.named for start in understood_text.starts] == ["place:FV1"]
    assert understood_text.at == at


def test_what_lay_in_a_tank_is_asked_by_the_moment(house):
    [start] = understood("FV1").starts
    for hours, code in ((90, "T1"), (140, "D1")):
        assert set(lots_of_start(start, START + timedelta(hours=hours))) == {house.lot(code).pk}
    assert set(lots_of_start(start)) == {house.lot("D1").pk}


def test_a_customer_means_all_that_was_shipped_to_it(house):
    [start] = understood("INN").starts
    assert lots_of_start(start) == {house.lot("KEG1").pk: 4_000_000}
    assert lots_of_start(start, START) == {}


@pytest.mark.parametrize("kinds", [set(Link.Kind), {Link.Kind.INGREDIENT}, {Link.Kind.CULTURE, Link.Kind.CARRYOVER}])
@pytest.mark.parametrize("codes", [["KEG1"], ["D1", "Y2"], ["M1", "H2"]])
def test_what_is_reached_is_what_networkx_reaches_over_those_links(house, codes, kinds):
    graph = networkx.DiGraph()
    graph.add_nodes_from(Lot.objects.values_list("pk", flat=True))
    graph.add_edges_from(Link.objects.filter(reversed_by=None, kind__in=kinds).values_list("parent", "child"))
    starts = {house.lot(code).pk: house.lot(code).total_micro for code in codes}
    found = trace_all(starts, list(Direction), kinds)
    for way, known in (("back", networkx.ancestors), ("forward", networkx.descendants)):
        expected = set().union(*(known(graph, start) for start in starts)) - set(starts)
        assert {row.lot.pk for row in found.rows if row.way == way} == expected
    assert {(step.parent, step.child) for step in found.steps} <= set(graph.edges)


def test_rows_are_narrowed_sorted_and_summed(house):
    found = trace_all({house.lot("KEG1").pk: 10_000_000}, list(Direction))
    hops = narrowed(found.rows, Narrowed(kind="hop"))
    assert [row.lot.code for row in in_order(hops, "-lot")] == ["H2", "H1"]
    assert [row.lot.code for row in narrowed(found.rows, Narrowed(place="heron"))] == ["KEG1"]
    assert narrowed(found.rows, Narrowed(disposition="rejected")) == []
    [kegs] = totals_of(narrowed(found.rows, Narrowed(kind="packaged")))
    assert (kegs.inside_micro, kegs.customers_micro) == (7_000_000, 3_000_000)


def test_however_many_lots_start_it_the_questions_are_the_same(house, django_assert_num_queries):
    many = {lot.pk: lot.total_micro for lot in Lot.objects.exclude(made_by__kind="package")}
    for starts in ({house.lot("KEG1").pk: 1}, many):
        with django_assert_num_queries(4):
            trace_all(starts, list(Direction))


def test_a_place_that_holds_several_lots_is_traced_from_all_of_them(house):
    [start] = understood("STORE").starts
    inside = Location.objects.get(code="STORE").balances.held()
    assert lots_of_start(start) == {balance.lot_id: balance.quantity_micro for balance in inside}
