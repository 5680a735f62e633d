"""The page of common causes: bad lots and good ones in, suspects in words out, each with the ways on."""

from fractions import Fraction

import pytest

from brewery.science.common_cause import Coverage, chance
from tests.brewhouse import Brewhouse
from tests.signing import signed_in
from traceability.pages.common_cause import chance_in_words, covered_in_words, tried_in_words
from traceability.queries.suspects import Suspect

PAGE = "/quality/common-cause/"


def suspect(*covered: int) -> Suspect:
    coverage = Coverage(*covered)
    return Suspect((), {}, (), coverage, chance(coverage), (), ())


@pytest.mark.usefixtures("whole_chain")
def test_the_suspect_that_the_good_lot_spares_comes_first_and_leads_on(brewhouse: Brewhouse):
    page = signed_in(brewhouse, "quality").get(PAGE, {"bad": "KEG1\nT1", "good": "K1"}).content.decode()
    assert "1. In all 2 bad lots, in none of 1 good ones" in page
    assert "about once in 3.0 times (probability 0.333)" in page
    assert "never a proof" in page
    for way in (
        f"/lots/{brewhouse.lot('M1').pk}/",
        "/trace/?q=lot%3AM1",
        "/holds/new/?lots=KEG1+T1",
        "/recalls/new/?lots=KEG1+T1",
        "/contamination/?of=FV1&amp;ingredient=on",
    ):
        assert f'href="{way}"' in page


@pytest.mark.usefixtures("whole_chain")
def test_who_may_not_decide_is_offered_no_hold(brewhouse: Brewhouse):
    page = signed_in(brewhouse, "brewing").get(PAGE, {"bad": "KEG1 T1"}).content.decode()
    assert "nothing can be said of chance" in page
    assert "/holds/new/?" not in page


@pytest.mark.usefixtures("whole_chain")
@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"bad": ""}, "This field is required."),
        ({"bad": "KEG1"}, "Name another bad lot, or a good one to compare with"),
        ({"bad": "KEG1 NONE"}, "There is no lot of this code"),
        ({"bad": "KEG1 T1", "good": "T1"}, "Name each lot once"),
        ({"bad": "(01)09501101530004"}, "its check digit would be 3"),
    ],
)
def test_what_cannot_be_asked_is_told_beside_its_field(brewhouse: Brewhouse, asked: dict[str, str], words: str):
    page = signed_in(brewhouse, "quality").get(PAGE, asked).content.decode()
    assert words in page
    assert "errorlist" in page
    assert "<h2" not in page


@pytest.mark.usefixtures("whole_chain")
def test_a_lot_and_a_recall_fill_the_form_in_and_no_fault_is_told_yet(brewhouse: Brewhouse):
    client = signed_in(brewhouse, "quality")
    assert f'href="{PAGE}?lots=KEG1"' in client.get(f"/lots/{brewhouse.lot('KEG1').pk}/").content.decode()
    page = client.get(PAGE, {"lots": "KEG1 T1"}).content.decode()
    assert "KEG1\nT1</textarea>" in page
    assert "errorlist" not in page


@pytest.mark.parametrize(
    ("covered", "heading", "words"),
    [
        ((3, 3, 0, 6), "In all 3 bad lots, in none of 6 good ones", "about once in 84 times (probability 0.012)"),
        ((2, 3, 1, 6), "In 2 of 3 bad lots, in 1 of 6 good ones", "about once in 4.4 times"),
        ((3, 3, 6, 6), "In all 3 bad lots, in 6 of 6 good ones", "This tells nothing"),
        ((2, 2, 0, 0), "In all 2 bad lots", "nothing can be said of chance"),
    ],
)
def test_coverage_and_chance_are_told_in_words(covered: tuple[int, ...], heading: str, words: str):
    assert covered_in_words(suspect(*covered)) == heading
    assert words in chance_in_words(suspect(*covered))


def test_it_is_told_how_many_suspects_chance_alone_would_bring():
    found = [suspect(3, 3, 0, 6), *[suspect(1, 3, 1, 6)] * 20]
    assert found[0].probability == Fraction(1, 84)
    assert "21 suspects that differ were compared" in tried_in_words(found)
    assert "make up to 0.25 look as good" in tried_in_words(found)
