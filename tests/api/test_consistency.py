"""Consistency over the API: figures of brews with limits, and the lots that changed."""

import pytest

from tests.api.client import Api, fields_of, problem_of
from tests.production.brewday import brew_by, reading, write


def test_the_figures_of_a_beer_are_told_with_limits_and_changed_lots(api: Api):
    house = api.house
    for lot in ("M1", "M2"):
        house.deliver("PILS", lot, "1000 kg", note=lot)
    for number, gravity in enumerate(("12.0", "11.8", "12.2"), 1):
        brew = brew_by(house, None, f"B{number}", hours=number)
        house.draw(brew, ("M1" if number == 1 else "M2", "STORE", "200 kg"), hours=number)
        write(house, brew, reading("knock_out", "gravity", gravity), hours=number + 1)
    told = api.get("consistency/", beer="LAGER").json()
    gravity = next(one for one in told["series"] if one["key"] == "original_gravity")
    assert gravity["limits"]["mean"] == pytest.approx(12)
    assert [(point["brew"], point["value"], point["is_outside"]) for point in gravity["points"]] == [
        ("B1", 12.0, False),
        ("B2", 11.8, False),
        ("B3", 12.2, False),
    ]
    assert [change["lots"] for change in told["changes"]] == [
        [{"material": "PILS", "before": ["M1"], "after": ["M2"]}],
        [],
    ]


def test_a_beer_must_be_named(api: Api):
    assert fields_of(problem_of(api.get("consistency/"), 400)) == ["beer"]
    assert fields_of(problem_of(api.get("consistency/", beer="NONE"), 400)) == ["beer"]
