"""The registers: every code is entered once, and a place knows from its kind what it may hold."""

import pytest

from brewery.kernel.errors import InvalidInput
from inventory.models import Location, Material
from inventory.services.registers import add_location, add_material, add_party, boundary
from tests.brewhouse import Brewhouse, micro
from tests.ledger import refused

IN_USE = "is not valid. This code is in use already; choose another."


def material(house: Brewhouse, code: str, **facts: object) -> Material:
    given = {"kind": "malt", "base_unit": "kg", **facts}
    return add_material(code=code, name=code.title(), **given, **house.by("administration"))


def location(house: Brewhouse, code: str, kind: str, **facts: object) -> Location:
    return add_location(code=code, name=code.title(), kind=kind, **facts, **house.by("administration"))


def test_a_material_is_entered_as_given(brewhouse: Brewhouse):
    made = material(brewhouse, "OATS", kind="adjunct", arrives="released")
    made.refresh_from_db()
    assert (made.code, made.name, made.kind, made.base_unit) == ("OATS", "Oats", "adjunct", "kg")
    assert (made.arrives, made.contents_micro) == ("released", None)


def test_a_material_arrives_quarantined_unless_it_says_otherwise(brewhouse: Brewhouse):
    assert material(brewhouse, "OATS").arrives == "quarantined"


def test_packaged_beer_says_what_one_holds(brewhouse: Brewhouse):
    facts = {"kind": "packaged", "base_unit": "each"}
    assert material(brewhouse, "CAN", contents_micro=micro("0.33 L"), **facts).contents_micro == 330_000
    sentence = "contents: None is not valid. Packaged beer, and nothing else, says what one holds."
    with refused(InvalidInput, sentence, field="contents"):
        material(brewhouse, "CAN2", **facts)


def test_nothing_but_packaged_beer_says_what_one_holds(brewhouse: Brewhouse):
    sentence = "contents: '0.000005 L' is not valid. Packaged beer, and nothing else, says what one holds."
    with refused(InvalidInput, sentence, field="contents"):
        material(brewhouse, "OATS", contents_micro=5)


@pytest.mark.parametrize(("role", "may_go_below_zero"), [("supplier", True), ("customer", False)])
def test_a_party_has_its_location_in_the_ledger(brewhouse: Brewhouse, role: str, may_go_below_zero: bool):
    party = add_party(code="NEW", name="New Party", role=role, **brewhouse.by("administration"))
    place = Location.objects.get(party=party)
    assert (place.code, place.name, place.kind) == (f"{role}:NEW", "New Party", role)
    assert (place.may_go_below_zero, place.is_inside, place.holds_one_lot) == (may_go_below_zero, False, False)


@pytest.mark.parametrize(
    ("kind", "filling", "holds_one_lot"),
    [
        ("store", "", False),
        ("silo", "mixed", True),
        ("silo", "layered", False),
        ("fermenter", "", True),
        ("bright_tank", "", True),
        ("brink", "", True),
        ("laboratory", "", False),
    ],
)
def test_tanks_brinks_and_mixed_silos_hold_one_lot(brewhouse: Brewhouse, kind: str, filling: str, holds_one_lot: bool):
    place = location(brewhouse, "NEW", kind, filling=filling)
    assert (place.holds_one_lot, place.is_inside, place.may_go_below_zero) == (holds_one_lot, True, False)


def test_a_place_keeps_its_capacity(brewhouse: Brewhouse):
    place = location(brewhouse, "NEW", "fermenter", capacity_micro=micro("40 hL"), capacity_unit="L")
    assert (place.capacity_micro, place.capacity_unit) == (4_000_000_000, "L")


@pytest.mark.parametrize("kind", ["process", "pallet", "customer", "supplier", "transformed", "loss", "cupboard"])
def test_no_place_outside_the_brewery_is_entered(brewhouse: Brewhouse, kind: str):
    sentence = f"kind: {kind!r} is not valid. Give a kind of place inside the brewery."
    with refused(InvalidInput, sentence, field="kind"):
        location(brewhouse, "NEW", kind)


@pytest.mark.parametrize(("kind", "filling"), [("silo", ""), ("store", "mixed"), ("fermenter", "layered")])
def test_silos_and_nothing_else_say_how_they_fill(brewhouse: Brewhouse, kind: str, filling: str):
    sentence = f"filling: {filling!r} is not valid. A silo, and nothing else, is mixed or layered."
    with refused(InvalidInput, sentence, field="filling"):
        location(brewhouse, "NEW", kind, filling=filling)


def test_every_code_is_entered_once(brewhouse: Brewhouse):
    with refused(InvalidInput, f"code: 'PILS' {IN_USE}", field="code"):
        material(brewhouse, "PILS")
    with refused(InvalidInput, f"code: 'INN' {IN_USE}", field="code"):
        add_party(code="INN", name="Another inn", role="customer", **brewhouse.by("administration"))
    with refused(InvalidInput, f"code: 'STORE' {IN_USE}", field="code"):
        location(brewhouse, "STORE", "store")


@pytest.mark.parametrize("kind", ["transformed", "loss", "destroyed", "count_difference"])
def test_there_is_one_location_of_every_boundary(db: None, kind: str):
    place = boundary(kind)
    assert (place.kind, place.is_inside) == (kind, False)
    assert place.may_go_below_zero == (kind in ("transformed", "count_difference"))
    assert Location.objects.filter(kind=kind).count() == 1


def test_a_store_may_say_how_warm_it_is_kept(brewhouse: Brewhouse):
    facts = {"name": "Cold room", "kind": "store", "nominal_milli_c": 2_500}
    place = add_location(code="COOL", **facts, **brewhouse.by("administration"))
    assert Location.objects.get(pk=place.pk).nominal_milli_c == 2_500
    with pytest.raises(InvalidInput, match="Give -40 to 60 °C"):
        add_location(code="OVEN", **facts | {"nominal_milli_c": 250_000}, **brewhouse.by("administration"))
