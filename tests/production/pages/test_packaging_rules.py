"""The pages of rules for lot codes: a rule is tried before it is set, and none that was set is lost."""

from datetime import date
from typing import Any

import pytest
from django.test import Client

from brewery.kernel.clock import brewery_day
from brewery.production.models import PackagingRule
from brewery.production.services.packaging_rules import set_packaging_rule
from tests.brewhouse import Brewhouse, rid
from tests.inventory.pages.reading import text_of
from tests.signing import signed_in

NEW = "/packaging/rules/new/"


@pytest.fixture
def officer(brewhouse: Brewhouse) -> Client:
    return signed_in(brewhouse, "quality")


def asked(**fields: Any) -> dict[str, Any]:
    given = {"request_id": rid(), "pattern": "Q{number3}", "life_in": "days", "in_force_from": brewery_day()}
    return {**given, **fields}


def test_a_rule_is_tried_and_nothing_is_set(officer: Client):
    answer = officer.post(NEW, asked(has_l_prefix="on", life="90", preview="1"))
    assert (answer.status_code, answer.context["preview"].codes) == (200, ["LQ001", "LQ002", "LQ003"])
    assert answer.context["preview"].best_before > brewery_day()
    assert not PackagingRule.objects.exists()


def test_a_rule_is_set_and_the_one_before_it_stays_on_the_list(brewhouse: Brewhouse, officer: Client):
    for pattern, day in (("OLD{number}", date(2026, 1, 1)), ("NEXT{number}", date(2199, 1, 1))):
        set_packaging_rule(pattern=pattern, in_force_from=day, **brewhouse.by("quality"))
    assert officer.post(NEW, asked()).status_code == 303
    rows = officer.get("/packaging/rules/").context["rows"]
    states = {row["rule"].pattern: row["state"] for row in rows}
    assert states == {"NEXT{number}": "to come", "Q{number3}": "in force", "OLD{number}": "replaced"}


@pytest.mark.parametrize(
    ("pattern", "problem"),
    [("{moon}", "{moon} is no token"), ("ABCDEFGHIJKLMNOPQ{number3}", "A code has 20 characters at most.")],
)
def test_a_pattern_that_gives_no_code_says_so_while_it_is_typed_and_when_it_is_set(
    officer: Client, pattern: str, problem: str
):
    fields = asked(pattern=pattern, has_l_prefix="on")
    assert problem in text_of(officer.get("/packaging/rules/preview/", fields))
    answer = officer.post(NEW, fields)
    assert (answer.status_code, list(answer.context["form"].errors)) == (400, ["pattern"])
    assert answer.context["form"]["pattern"].value() == pattern


def test_the_preview_shows_codes_that_are_free(brewhouse: Brewhouse, officer: Client):
    brewhouse.deliver("PILS", "Q001", "10 kg")
    shown = text_of(officer.get("/packaging/rules/preview/", asked()))
    assert "Q002" in shown
    assert "Q001" not in shown
