"""Work under way: a brew or run is started under a code of its own, and is drawn for until something is made of it."""

from datetime import timedelta

import pytest

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.production.services.refusals import AlreadyKnockedOut, AlreadyPackaged
from brewery.production.services.work import finished_by, start_brew
from inventory.models import Location
from inventory.services.refusals import InTheFuture, WrongMaterial
from tests.brewhouse import Brewhouse, at
from tests.ledger import postings, refused
from tests.standing import built_once


@built_once
def stocked(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.stock_up()
    return brewhouse


def test_a_brew_has_a_place_of_its_own_in_the_ledger(brewhouse: Brewhouse):
    brew = brewhouse.start_brew("B1", hours=2)
    assert (brew.code, brew.beer.code, brew.started_at) == ("B1", "LAGER", at(2))
    assert (brew.location.code, brew.location.name, brew.location.kind) == ("B1", "Brew B1", Location.Kind.PROCESS)
    assert finished_by(brew) is None


def test_a_packaging_run_has_a_place_of_its_own_in_the_ledger(brewhouse: Brewhouse):
    run = brewhouse.start_run("R1", hours=2)
    assert (run.code, run.beer.code, run.started_at) == ("R1", "LAGER", at(2))
    assert (run.location.name, run.location.kind) == ("Packaging run R1", Location.Kind.PROCESS)
    assert finished_by(run) is None


def test_two_brews_hold_what_was_drawn_for_each(stocked: Brewhouse):
    first, second = stocked.start_brew("B1", hours=1), stocked.start_brew("B2", hours=1)
    assert postings(stocked.draw(first, ("M1", "SILO1", "200 kg"), hours=2)) == {("M1", "SILO1", "B1", "200 kg")}
    assert postings(stocked.draw(second, ("M1", "SILO1", "100 kg"), hours=2)) == {("M1", "SILO1", "B2", "100 kg")}


@pytest.mark.parametrize("taken", ["B1", "R1", "STORE", "transformed"])
def test_a_code_that_any_place_bears_is_refused(brewhouse: Brewhouse, taken: str):
    brewhouse.start_brew("B1", hours=1)
    brewhouse.start_run("R1", hours=1)
    sentence = f"code: {taken!r} is not valid. This code is in use already; choose another."
    with refused(InvalidInput, sentence, field="code"):
        brewhouse.start_brew(taken, hours=2)
    with refused(InvalidInput, sentence, field="code"):
        brewhouse.start_run(taken, hours=2)


def test_only_a_beer_is_brewed_and_packaged(brewhouse: Brewhouse):
    with refused(WrongMaterial, "Lager wort is a wort; this needs a beer.", field="beer"):
        brewhouse.start_brew("B1", hours=2, beer="WORT")
    with refused(WrongMaterial, "Pilsner malt is a malt; this needs a beer.", field="beer"):
        brewhouse.start_run("R1", hours=2, beer="PILS")


def test_no_brew_is_started_in_the_future(brewhouse: Brewhouse):
    with refused(InTheFuture, "2126-02-06 09:00 has not come yet.", field="started_at"):
        brewhouse.start_brew("B1", hours=24 * 36500)
    facts = {"beer": brewhouse.material("LAGER"), **brewhouse.by("brewing")}
    assert start_brew(code="B1", started_at=now() - timedelta(microseconds=1), **facts).code == "B1"


def test_after_knock_out_nothing_is_drawn_or_returned_until_it_is_reversed(stocked: Brewhouse):
    brew = stocked.start_brew("B1", hours=1)
    stocked.draw(brew, ("M1", "SILO1", "200 kg"), hours=2)
    knock_out = stocked.knock_out(brew, "W1", {"FV1": "1000 L"}, hours=8)
    assert finished_by(brew) == knock_out
    sentence = "Brew B1 was knocked out at 2026-03-02 17:00."
    with refused(AlreadyKnockedOut, sentence, field="brew"):
        stocked.draw(brew, ("M1", "SILO1", "1 kg"), hours=9)
    with refused(AlreadyKnockedOut, sentence, field="brew"):
        stocked.bring_back(brew, ("M1", "SILO1", "1 kg"), hours=9)
    stocked.reverse(knock_out)
    assert finished_by(brew) is None
    stocked.bring_back(brew, ("M1", "SILO1", "1 kg"), hours=9)
    stocked.draw(brew, ("M1", "SILO1", "2 kg"), hours=9)


def test_after_packaging_nothing_is_drawn_or_returned_until_it_is_reversed(brewhouse: Brewhouse):
    brewhouse.stock_up()
    brewhouse.ferment()
    run = brewhouse.start_run("R1", hours=100)
    brewhouse.draw(run, ("K1", "STORE", "10 each"), hours=100)
    packaging = brewhouse.package(run, "FV1", "KEG1", 10, hours=101)
    assert finished_by(run) == packaging
    sentence = "Packaging run R1 was filled at 2026-03-06 14:00."
    with refused(AlreadyPackaged, sentence, field="run"):
        brewhouse.draw(run, ("K1", "STORE", "1 each"), hours=102)
    with refused(AlreadyPackaged, sentence, field="run"):
        brewhouse.bring_back(run, ("K1", "STORE", "1 each"), hours=102)
    brewhouse.reverse(packaging)
    brewhouse.bring_back(run, ("K1", "STORE", "1 each"), hours=102)
