"""The page of consistency: charts with their tables, and the lots that changed."""

from xml.etree import ElementTree

import pytest
from django.test import Client

from brewery.kernel.drawing.chart import Chart, Line, draw
from tests.brewhouse import Brewhouse
from tests.production.brewday import brew_by, reading, write
from tests.signing import signed_in

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def auditor(brewhouse: Brewhouse) -> Client:
    """Three brews of 12, 11.8 and 12.2 °P; of the first the malt was M1, of the others M2."""
    for lot in ("M1", "M2"):
        brewhouse.deliver("PILS", lot, "1000 kg", note=lot)
    for number, gravity in enumerate(("12.0", "11.8", "12.2"), 1):
        brew = brew_by(brewhouse, None, f"B{number}", hours=number)
        brewhouse.draw(brew, ("M1" if number == 1 else "M2", "STORE", "200 kg"), hours=number)
        write(brewhouse, brew, reading("knock_out", "gravity", gravity), hours=number + 1)
    return signed_in(brewhouse, "auditor")


def shown(client: Client, house: Brewhouse, **more: str) -> str:
    return client.get("/brewing/consistency/", {"beer": house.material("LAGER").pk, **more}).content.decode()


def test_a_chart_has_its_limits_and_its_table(auditor: Client, brewhouse: Brewhouse):
    page = shown(auditor, brewhouse)
    assert "Chart of Original gravity over 3 brews; the table below has the figures" in page
    assert "upper limit" in page
    assert "11.80" in page
    assert "No brew of it tells this yet." in page  # of yield, bitterness, attenuation


def test_which_lots_changed_is_told_from_brew_to_brew_and_between_any_two(auditor: Client, brewhouse: Brewhouse):
    page = shown(auditor, brewhouse)
    assert "nothing changed" in page
    assert page.count("Pilsner malt") == 1
    assert "nothing changed" not in shown(auditor, brewhouse, before="B1", after="B3")
    assert "There is no brew B9 of this beer." in shown(auditor, brewhouse, before="B1", after="B9")


def test_a_drawing_is_well_formed_and_marks_what_is_outside_by_its_shape():
    chart = Chart(
        "<yield>", "%", ["B&1", "B2", "B3"], [1.0, None, 9.0], [Line(5, "mean", "mean")], (), [False, False, True]
    )
    root = ElementTree.fromstring(draw(chart))  # noqa: S314  it is our own drawing
    assert len(root.findall(f"{SVG}circle")) == 1
    assert len(root.findall(f"{SVG}rect")) == 1
    assert "B&1" in [text.text for text in root.findall(f"{SVG}text")]


@pytest.mark.parametrize("values", [[], [None], [3.0], [3.0, 3.0]])
def test_few_or_equal_values_are_drawn_too(values: list[float | None]):
    ElementTree.fromstring(draw(Chart("x", "", [str(one) for one in values], values)))  # noqa: S314
