"""Allergens as the law lists them, and what contradicts a claim."""

import pytest

from brewery.science.allergens import (
    ALLERGENS,
    CLAIMS,
    EXEMPT_IN_EU,
    Traits,
    contradictions,
    named_in_eu,
    named_in_us,
)


def test_the_european_groups_are_the_fourteen_of_annex_ii():
    # Regulation (EU) 1169/2011, annex II.
    assert named_in_eu(ALLERGENS) == [
        "cereals containing gluten",
        "crustaceans",
        "eggs",
        "fish",
        "peanuts",
        "soybeans",
        "milk",
        "nuts",
        "celery",
        "mustard",
        "sesame",
        "sulphur dioxide and sulphites",
        "lupin",
        "molluscs",
    ]


def test_the_american_groups_are_the_eight_of_2004_and_sesame():
    # Food Allergen Labeling and Consumer Protection Act of 2004, FASTER Act of 2021: from memory.
    assert set(named_in_us(ALLERGENS)) == {
        "milk",
        "eggs",
        "fish",
        "crustacean shellfish",
        "tree nuts",
        "wheat",
        "peanuts",
        "soybeans",
        "sesame",
    }


def test_barley_is_named_in_europe_and_not_in_america_and_wheat_in_both():
    assert (named_in_eu({"barley"}), named_in_us({"barley"})) == (["cereals containing gluten"], [])
    assert named_in_us({"barley", "wheat"}) == ["wheat"]


def test_isinglass_in_beer_is_exempt_in_europe():
    # Regulation (EU) 1169/2011, annex II, 4(b).
    assert "isinglass" in EXEMPT_IN_EU["fish"]
    assert set(EXEMPT_IN_EU) <= set(ALLERGENS)


@pytest.mark.parametrize(
    ("claim", "traits", "words"),
    [
        ("gluten_free", Traits(frozenset({"barley"})), ["barley"]),
        ("gluten_free", Traits(frozenset({"rye", "wheat"})), ["wheat (with spelt and khorasan)", "rye"]),
        ("gluten_free", Traits(frozenset({"oats"})), ["oats"]),
        ("gluten_free", Traits(frozenset({"oats"}), bears=frozenset({"gluten_free"})), []),
        ("gluten_free", Traits(frozenset({"barley"}), bears=frozenset({"gluten_free"})), ["barley"]),
        ("gluten_free", Traits(frozenset({"barley"}), exempt_in_eu=frozenset({"barley"})), []),
        ("gluten_free", Traits(frozenset({"milk"})), []),
        ("milk_free", Traits(frozenset({"milk"})), ["milk (with lactose)"]),
        ("milk_free", Traits(frozenset({"fish"}), is_of_animal_origin=True), []),
        ("vegan", Traits(frozenset({"fish"}), frozenset({"fish"}), True), ["fish"]),
        ("vegan", Traits(frozenset(), is_of_animal_origin=True), ["something of animal origin"]),
        (
            "vegan",
            Traits(frozenset(), is_of_animal_origin=True, bears=frozenset({"vegan"})),
            ["something of animal origin"],
        ),
        ("vegan", Traits(frozenset({"barley"})), []),
        ("vegetarian", Traits(frozenset({"milk"})), []),
        ("vegetarian", Traits(frozenset({"milk"}), is_of_animal_origin=True), ["something of animal origin"]),
        ("vegetarian", Traits(frozenset(), is_of_animal_origin=True, bears=frozenset({"vegetarian"})), []),
        (
            "vegetarian",
            Traits(frozenset({"fish"}), is_of_animal_origin=True, bears=frozenset({"vegetarian"})),
            ["fish"],
        ),
    ],
)
def test_what_contradicts_a_claim_is_named(claim, traits, words):
    assert contradictions(CLAIMS[claim], traits) == words


def test_nothing_contradicts_where_nothing_is_carried():
    assert [contradictions(claim, Traits(frozenset())) for claim in CLAIMS.values()] == [[]] * len(CLAIMS)
