"""Families of lots: what met a lot in a layered silo belongs to them as long as it lies somewhere."""

from inventory.models import Link, Location
from inventory.services.registers import add_location
from tests.brewhouse import Brewhouse, micro
from tests.standing import built_once
from traceability.queries.families import family_of
from traceability.queries.graph import ALL_KINDS
from traceability.services.holds import place_hold


@built_once
def silo(brewhouse: Brewhouse) -> Brewhouse:
    """A layered silo with a band of 50 kg, out of which A went to the store: B lay over it within the band."""
    add_location(
        code="SILO3",
        name="Silo 3",
        kind=Location.Kind.SILO,
        filling=Location.Filling.LAYERED,
        band_micro=micro("50 kg"),
        **brewhouse.by("administration"),
    )
    brewhouse.deliver("PILS", "A", "100 kg", "SILO3", note="A")
    brewhouse.deliver("PILS", "B", "600 kg", "SILO3", hours=1, note="B")
    brewhouse.move("A", "SILO3", "STORE", "100 kg", hours=2)
    return brewhouse


def family(house: Brewhouse, code: str, kinds: frozenset[Link.Kind] = ALL_KINDS) -> dict[str, list[str]]:
    """Return the places of each lot of the family."""
    members = family_of({house.lot(code).pk}, kinds).members
    return {member.lot.code: [place.location.code for place in member.places] for member in members}


def test_what_met_a_lot_and_lies_elsewhere_is_of_its_family(silo: Brewhouse):
    assert family(silo, "B") == {"A": ["STORE"], "B": ["SILO3"]}


def test_it_is_not_where_residues_are_not_followed(silo: Brewhouse):
    assert family(silo, "B", frozenset({Link.Kind.INGREDIENT})) == {"B": ["SILO3"]}


def test_a_brew_that_it_was_drawn_for_is_reached_before_it_is_knocked_out(silo: Brewhouse):
    brew = silo.start_brew("B1", hours=3)
    silo.draw(brew, ("A", "STORE", "100 kg"), hours=3)
    assert family(silo, "B") == {"A": [brew.location.code], "B": ["SILO3"]}


def test_when_all_of_it_went_into_wort_the_wort_stands_for_it(silo: Brewhouse):
    brew = silo.start_brew("B1", hours=3)
    silo.draw(brew, ("A", "STORE", "100 kg"), hours=3)
    silo.knock_out(brew, "W1", {"FV1": "500 L"}, hours=4)
    assert family(silo, "B") == {"B": ["SILO3"], "W1": ["FV1"]}


def test_what_met_a_lot_is_held_with_it(silo: Brewhouse):
    place_hold(lots=[silo.lot("B")], follow=["carryover"], reason="weevils", **silo.by("quality"))
    assert [silo.lot(code).disposition for code in ("A", "B")] == ["on_hold", "on_hold"]
