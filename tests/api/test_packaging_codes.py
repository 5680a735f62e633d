"""The next lot codes and the best-before day of what would be filled."""

from datetime import date

import pytest

from brewery.production.services.packaging_rules import set_packaging_rule
from tests.api.client import Api, problem_of
from tests.standing import built_once


@built_once
def ruled(api: Api) -> Api:
    """Kegs are coded by year, day and number, and keep to the end of the fourth month."""
    set_packaging_rule(
        pattern="{year}{day}{line}-{number2}",
        material=api.house.material("KEG50"),
        has_l_prefix=True,
        life=4,
        life_in="months",
        to_months_end=True,
        in_force_from=date(2026, 1, 1),
        **api.house.by("quality"),
    )
    return api


def test_the_rule_in_force_at_that_moment_gives_codes_and_day(ruled: Api):
    asked = {"material": "KEG50", "line": "B", "happened_at": "2026-03-06T12:00:00Z", "how_many": 2}
    answer = ruled.get("packaging-codes/", **asked).json()
    assert answer == {"codes": ["L26065B-01", "L26065B-02"], "best_before": "2026-07-31"}


def test_without_a_rule_no_best_before_is_made_up(ruled: Api):
    answer = ruled.get("packaging-codes/", material="BOTTLE500").json()
    assert (len(answer["codes"]), answer["best_before"]) == (3, None)


@pytest.mark.parametrize(("query", "field"), [({}, "material"), ({"material": "KEG50", "how_many": 21}, "how_many")])
def test_what_is_missing_or_too_much_is_told_by_field(ruled: Api, query: dict[str, object], field: str):
    problem = problem_of(ruled.get("packaging-codes/", **query), 400)
    assert [fault["field"] for fault in problem["errors"]] == [field]
