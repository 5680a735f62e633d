"""Suspects: what bad lots have in common and good ones have not, against the graph of an independent library."""

from fractions import Fraction
from random import Random

import networkx
import pytest

from brewery.kernel.errors import InvalidInput
from brewery.production.services.filled_tanks import TankDraw
from brewery.production.services.packaging import Counted, fill
from inventory.models import Link, Lot, Posting
from tests.api.client import Api
from tests.brewhouse import Brewhouse, at
from tests.histories import History
from tests.standing import built_once
from traceability.queries.suspects import PLACES, suspects


@built_once
def fillings(brewhouse: Brewhouse) -> Brewhouse:
    """Four fillings of four brews, two of them with hops of lot H2; each brew has a tank to itself.

    B1: M1 H1   B2: M1 H2   B3: M1 H2   B4: M2 H1
    """
    brewhouse.deliver("PILS", "M1", "900 kg", note="1")
    brewhouse.deliver("PILS", "M2", "900 kg", note="2")
    brewhouse.deliver("SAAZ", "H1", "90 kg", note="3")
    brewhouse.deliver("SAAZ", "H2", "90 kg", note="4")
    brewhouse.deliver("CROWN", "C1", "9000 each", note="5")
    for number, (malt, hop) in enumerate((("M1", "H1"), ("M1", "H2"), ("M1", "H2"), ("M2", "H1")), 1):
        hours = number * 10
        brew = brewhouse.start_brew(f"B{number}", hours=hours)
        brewhouse.draw(brew, (malt, "STORE", "100 kg"), (hop, "STORE", "5 kg"), hours=hours)
        tank = ("FV1", "FV2")[number % 2]
        brewhouse.knock_out(brew, f"W{number}", {tank: "500 L"}, hours=hours)
        run = brewhouse.start_run(f"P{number}", hours=hours + 1)
        brewhouse.draw(run, ("C1", "STORE", "100 each"), hours=hours + 1)
        brewhouse.package(run, tank, f"K{number}", 10, hours=hours + 1)
        brewhouse.clean(tank, hours=hours + 2)
    return brewhouse


def named(house: Brewhouse, *codes: str) -> list[Lot]:
    return [house.lot(code) for code in codes]


def test_the_hops_that_only_the_bad_ones_share_come_first(fillings: Brewhouse):
    first, *_ = suspects(named(fillings, "K2", "K3"), named(fillings, "K1", "K4"))
    assert [lot.code for lot in first.lots] == ["H2"]
    assert first.coverage.explains_all
    assert first.probability == Fraction(1, 6)
    assert (first.missed, first.also_in) == ((), ())


def test_what_is_in_good_ones_too_comes_later_and_says_so(fillings: Brewhouse):
    found = suspects(named(fillings, "K2", "K3"), named(fillings, "K1", "K4"))
    malt = next(one for one in found if "M1" in {lot.code for lot in one.lots})
    assert [lot.code for lot in malt.also_in] == ["K1"]
    assert malt.probability > found[0].probability


def test_a_tank_is_a_suspect_as_a_lot_is(fillings: Brewhouse):
    first, *_ = suspects(named(fillings, "K1", "K3"), named(fillings, "K2", "K4"))
    assert [place.code for place in first.places] == ["FV2"]


def test_only_one_bad_lot_leaves_all_that_is_in_it_alone(fillings: Brewhouse):
    first, *_ = suspects(named(fillings, "K4"), named(fillings, "K1"))
    assert {lot.code for lot in first.lots} == {"M2", "W4"}
    assert {place.code for place in first.places} == {"B4", "P4", "FV1"}


@pytest.mark.parametrize(
    ("bad", "good", "field"),
    [((), (), "bad"), (("K1",), (), "bad"), (("K1",), ("K1",), "good"), (("K1", "K1"), (), "good")],
)
def test_what_cannot_be_asked_is_refused(fillings: Brewhouse, bad: tuple[str, ...], good: tuple[str, ...], field: str):
    with pytest.raises(InvalidInput) as wrong:
        suspects(named(fillings, *bad), named(fillings, *good))
    assert wrong.value.field == field


@pytest.mark.parametrize("seed", range(5))
def test_each_suspect_is_in_the_lots_that_the_graph_says(brewhouse: Brewhouse, seed: int):
    random = Random(seed)
    History(brewhouse, random).play(40)
    graph = networkx.DiGraph(list(Link.objects.filter(reversed_by=None).values_list("parent", "child")))
    lots = list(Lot.objects.filter(reversed_by=None, pk__in=graph.nodes))
    chosen = random.sample(lots, min(6, len(lots)))
    bad, good = chosen[: len(chosen) // 2], chosen[len(chosen) // 2 :]
    for suspect in suspects(bad, good):
        for lot in suspect.lots:
            within = {one.pk for one in chosen if lot.pk in networkx.ancestors(graph, one.pk)}
            assert within == {one.pk for one in chosen} - {one.pk for one in suspect.missed} - {
                one.pk for one in good if one not in suspect.also_in
            }
        for place in suspect.places:
            lay = set(Posting.objects.filter(to_location=place, event__reversed_by=None).values_list("lot", flat=True))
            might = sum(bool(lay & {one.pk, *networkx.ancestors(graph, one.pk)}) for one in bad)
            assert place.kind in PLACES
            assert 0 < suspect.coverage.bad <= might


def test_a_tank_that_a_part_of_a_lot_never_saw_is_no_suspect_for_it(brewhouse: Brewhouse):
    """Half of T goes on to the bright tank and is filled there, the rest is filled from the fermenter."""
    brewhouse.deliver("PILS", "M1", "900 kg")
    brewhouse.deliver("CROWN", "C1", "9000 each", note="2")
    brew = brewhouse.start_brew("B1", hours=1)
    brewhouse.draw(brew, ("M1", "STORE", "100 kg"), hours=1)
    brewhouse.knock_out(brew, "W1", {"FV1": "1000 L"}, hours=2)
    brewhouse.transfer("FV1", "BT1", "500 L", hours=3)
    for number, tank in enumerate(("FV1", "BT1"), 1):
        run = brewhouse.start_run(f"P{number}", hours=4)
        brewhouse.draw(run, ("C1", "STORE", "100 each"), hours=4)
        brewhouse.package(run, tank, f"K{number}", 5, hours=5)
    (first, *_) = suspects(named(brewhouse, "K2"), named(brewhouse, "K1"))
    assert {place.code for place in first.places} == {"BT1", "P2"}


def test_a_filler_is_a_suspect_whatever_run_it_filled_in(brewhouse: Brewhouse):
    """Lines 1 and 2 fill the same beer in turn; what line 2 filled is bad."""
    brewhouse.stock_up()
    brewhouse.ferment()
    run = brewhouse.start_run("R1", hours=100)
    brewhouse.draw(run, ("K1", "STORE", "400 each"), hours=100)
    for number, line in enumerate("1212"):
        fill(
            run=run,
            material=brewhouse.material("BOTTLE500"),
            tanks=[TankDraw(brewhouse.place("FV1"))],
            counted=Counted(100, code=f"L{number}", line=line),
            location=brewhouse.place("COLD"),
            happened_at=at(101 + number),
            still_to_come=300 - 100 * number,
            **brewhouse.by("brewing"),
        )
    first, *_ = suspects(named(brewhouse, "L1", "L3"), named(brewhouse, "L0", "L2"))
    assert (first.fillers, first.coverage.explains_all) == (("2",), True)


def test_the_api_names_the_suspects_and_refuses_a_code_that_is_none(fillings: Brewhouse):
    api = Api(fillings)
    first, *_ = api.get("common-causes/?bad=K2 K3&good=K1 K4", "quality").json()
    assert (first["lots"][0]["lot"], first["bad"], first["good"]) == ("H2", 2, 0)
    assert first["probability"] == pytest.approx(1 / 6)
    answer = api.get("common-causes/?bad=K9", "quality")
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid_input")
