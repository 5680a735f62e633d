"""Lineage: a culture's mothers and daughters, and the beers and brews that it went into.

Drawn, what `house` holds; → is a pitch and the harvest after it:

    Y1 ─ T1 → Y2 ─┐
     │            ├ T3 → Y4        Y2 and Y3 are pitched together, Y1 again into T2
     └── T2 → Y3 ─┘
"""

from itertools import pairwise

import networkx
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brewery.kernel.clock import now
from brewery.production.drawing.lineage import BOX_HEIGHT, BOX_WIDTH, Crop, _places, draw
from brewery.production.queries.lineage import lineage_of, lineage_of_strain, touched_by
from brewery.science.generations import blend_generation, crop_generation
from inventory.models import Event, Link, Lot
from tests.brewhouse import Brewhouse, at, micro
from tests.standing import built_once

DAY = 24
Told = list[tuple[str, tuple[str, ...], str]]


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """As drawn above; brews B1 to B3, Y9 was never used."""
    brewhouse.stock_up()
    brewhouse.deliver("YEAST", "Y9", "5 kg", "COLD", note="9")
    for number, (vessel, yeasts, crop) in enumerate(
        (("FV1", ["Y1"], "Y2"), ("FV2", ["Y1"], "Y3"), ("FV3", ["Y2", "Y3"], "Y4")), 1
    ):
        ferment(brewhouse, number, vessel, yeasts, crop)
    return brewhouse


def ferment(house: Brewhouse, number: int, vessel: str, yeasts: list[str], crop: str) -> None:
    if vessel == "FV3":
        house.transfer("FV1", "BT1", "980 L", hours=number * DAY - 1)
        house.clean("FV1", hours=number * DAY - 0.5)
        vessel = "FV1"
    brew = house.start_brew(f"B{number}", hours=number * DAY)
    house.draw(brew, ("M1", "SILO1", "100 kg"), hours=number * DAY)
    house.knock_out(brew, f"W{number}", {vessel: "1000 L"}, hours=number * DAY + 1)
    house.pitch(vessel, f"T{number}", *((yeast, "COLD", "2 kg") for yeast in yeasts), hours=number * DAY + 2)
    house.harvest(vessel, "20 L", crop, "22 kg", "COLD", hours=number * DAY + 12)


def told(cultures) -> Told:
    codes = {culture.lot.pk: culture.lot.code for culture in cultures}
    return [(culture.lot.code, tuple(codes[key] for key in culture.mothers), culture.fate) for culture in cultures]


WHOLE = [
    ("Y1", (), "pitched, on hand"),
    ("Y2", ("Y1",), "pitched, on hand"),
    ("Y3", ("Y1",), "pitched, on hand"),
    ("Y4", ("Y2", "Y3"), "on hand"),
]


@pytest.mark.parametrize("start", ["Y1", "Y4"])
def test_a_lineage_goes_back_to_the_mothers_and_on_to_the_daughters(house: Brewhouse, start: str):
    assert told(lineage_of([house.lot(start)])) == WHOLE


def test_sisters_are_no_part_of_each_others_lineage(house: Brewhouse):
    assert [code for code, _, _ in told(lineage_of([house.lot("Y2")]))] == ["Y1", "Y2", "Y4"]


def test_a_strain_has_all_its_yeast(house: Brewhouse):
    first, *rest = told(lineage_of_strain(house.material("YEAST")))
    assert [first, *rest] == [WHOLE[0], ("Y9", (), "on hand"), *WHOLE[1:]]


def test_what_was_destroyed_is_told(house: Brewhouse):
    house.destroy("Y4", "COLD", "22 kg", hours=5 * DAY)
    assert told(lineage_of([house.lot("Y4")]))[-1] == ("Y4", ("Y2", "Y3"), "discarded")


def test_a_harvest_that_was_reversed_never_was(house: Brewhouse):
    house.reverse(Event.objects.filter(kind=Event.Kind.HARVEST).latest("pk"))
    assert told(lineage_of([house.lot("Y1")])) == [
        ("Y1", (), "pitched, on hand"),
        ("Y2", ("Y1",), "pitched, on hand"),
        ("Y3", ("Y1",), "pitched, on hand"),
    ]


def test_every_brew_that_a_culture_touched_is_told_with_the_crops_between(house: Brewhouse):
    found = [(row.beer.code, row.generations, [brew.code for brew in row.brews]) for row in touched_by(house.lot("Y1"))]
    assert found == [("T1", 0, ["B1"]), ("T2", 0, ["B2"]), ("T3", 1, ["B3"])]
    assert [row.beer.code for row in touched_by(house.lot("Y3"))] == ["T3"]
    assert touched_by(house.lot("Y9")) == []


def test_a_blend_brings_the_brews_of_both(house: Brewhouse):
    house.transfer("FV2", "FV1", "100 L", contents="T5", kind="blend", hours=5 * DAY)
    found = {row.beer.code: [brew.code for brew in row.brews] for row in touched_by(house.lot("Y3"))}
    assert found["T5"] == ["B2", "B3"]


def test_a_lineage_is_five_statements_however_long(house: Brewhouse, django_assert_num_queries):
    lot = house.lot("Y1")
    with django_assert_num_queries(5):
        lineage_of([lot])
    with django_assert_num_queries(5):
        touched_by(lot)


@given(parts=st.lists(st.integers(1, 50), min_size=1, max_size=8))
def test_a_blend_is_as_old_as_its_oldest_part_in_any_order(parts: list[int]):
    assert blend_generation(parts) == max(parts) == blend_generation(parts[::-1])
    assert blend_generation([blend_generation(parts), *parts]) == blend_generation(parts)
    assert crop_generation(parts) == max(parts) + 1


GRAPHS = st.integers(2, 12).flatmap(
    lambda size: st.sets(
        st.tuples(st.integers(0, size - 2), st.integers(1, size - 1)).filter(lambda pair: pair[0] < pair[1])
    ).map(lambda edges: (size, sorted(edges)))
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(graph=GRAPHS)
def test_a_lineage_is_what_a_graph_library_reaches(brewhouse: Brewhouse, graph: tuple[int, list[tuple[int, int]]]):
    """Lots and links are written straight into the tables, so that every shape comes up, not only likely ones."""
    size, edges = graph
    event = brewhouse.deliver("YEAST", f"S{Lot.objects.count()}", "1 kg", "COLD", note=str(now()))
    facts = {"material": brewhouse.material("YEAST"), "made_by": event, "made_at": at(0), "made_micro": micro("1 kg")}
    first = Lot.objects.count()
    lots = [
        Lot.objects.create(code=f"L{first + number}", disposition="released", generation=1, **facts)
        for number in range(size)
    ]
    Link.objects.bulk_create(
        Link(event=event, parent=lots[parent], child=lots[child], kind=Link.Kind.CULTURE, quantity_micro=0)
        for parent, child in edges
    )
    known = networkx.DiGraph(edges)
    known.add_nodes_from(range(size))
    for number, lot in enumerate(lots):
        expected = {number} | networkx.ancestors(known, number) | networkx.descendants(known, number)
        assert {culture.lot.pk for culture in lineage_of([lot])} == {lots[one].pk for one in expected}


# The drawing


@st.composite
def histories(draw_from: st.DrawFn) -> list[Crop]:
    """Any lots in order of time, each of some older ones."""
    size = draw_from(st.integers(1, 25))
    days = sorted(draw_from(st.lists(st.dates(), min_size=size, max_size=size)))
    crops = []
    for key in range(size):
        mothers = draw_from(st.sets(st.integers(0, key - 1), max_size=3)) if key else set()
        crops.append(Crop(key, f"Y{key}", 1, days[key], tuple(sorted(mothers)), "gone", f"/yeast/lots/{key}/"))
    return crops


@given(crops=histories())
def test_boxes_stand_in_order_of_time_and_never_on_each_other(crops: list[Crop]):
    places = _places(crops)
    lefts = [places[crop.key].x for crop in crops]
    assert lefts == sorted(lefts)
    for crop in crops:
        assert all(places[mother].x + BOX_WIDTH < places[crop.key].x for mother in crop.mothers)
    boxes = sorted((place.y, place.x) for place in places.values())
    for (y, x), (next_y, next_x) in pairwise(boxes):
        assert next_y >= y + BOX_HEIGHT or (next_y == y and next_x >= x + BOX_WIDTH)


def test_every_box_is_a_link_that_says_what_it_is(house: Brewhouse):
    crop = Crop(1, "Y<1>", 3, at(0).date(), (), "pitched", "/yeast/lots/1/", is_subject=True)
    drawn = draw([crop], "Lager yeast")
    assert '<a class="lineage-lot is-subject" href="/yeast/lots/1/" aria-label="Y&lt;1&gt;, generation 3, ' in drawn
    assert 'aria-label="Lager yeast: 1 lots of yeast, mothers left of daughters; the table below' in drawn
