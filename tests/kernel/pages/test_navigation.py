from collections.abc import Iterable

import pytest

from brewery.kernel.access import Right
from brewery.kernel.models import User
from brewery.kernel.pages.navigation import (
    NAVIGATION,
    NavigationEntry,
    NavigationGroup,
    ShownEntry,
    entries_of,
    groups_for,
    lies_under,
)
from tests.brewhouse import person
from tests.standing import built_once

GROUPS = (
    NavigationGroup("Stock", (NavigationEntry("Tanks and stores", "home"), NavigationEntry("Lots", "lots"))),
    NavigationGroup("People", (NavigationEntry("Ways in", "login", Right.MANAGE_PEOPLE),)),
    NavigationGroup(
        "Scan", (NavigationEntry("Kept ways in", "login", Right.MANAGE_PEOPLE), NavigationEntry("Scan", "scan"))
    ),
)


def labels(entries: Iterable[ShownEntry], current: bool | None = None) -> list[str]:
    return [entry.label for entry in entries if current is None or entry.is_current == current]


@built_once
def brewer(db: None) -> User:
    return person("joss", "brewing")


def test_people_are_shown_what_they_have_the_right_to_and_no_empty_group(brewer):
    shown = groups_for(brewer, "/", GROUPS)
    assert [(group.label, labels(group.entries)) for group in shown] == [
        ("Stock", ["Tanks and stores", "Lots"]),
        ("Scan", ["Scan"]),
    ]


def test_a_group_leads_to_the_first_page_that_its_reader_may_see(brewer):
    assert [group.href for group in groups_for(brewer, "/", GROUPS)] == ["/", "/scan/"]


def test_somebody_without_a_role_is_shown_nothing(db):
    assert groups_for(person("guest"), "/", NAVIGATION) == []


@pytest.mark.parametrize(
    ("path", "group", "current"),
    [
        ("/", ["Stock"], ["Tanks and stores"]),
        ("/lots/", ["Stock"], ["Lots"]),
        ("/lots/7/", ["Stock"], ["Lots"]),
        ("/scan/", ["Scan"], ["Scan"]),
        ("/elsewhere/", [], []),
    ],
)
def test_the_page_that_one_is_on_or_below_is_the_current_one_and_so_is_its_group(brewer, path, group, current):
    shown = groups_for(brewer, path, GROUPS)
    assert labels(shown, current=True) == group
    assert [label for each in shown for label in labels(each.entries, current=True)] == current


def test_a_longer_name_is_not_below_a_shorter_one():
    assert not lies_under("/lots-of-things/", "/lots/")


def test_every_entry_of_the_real_navigation_has_a_page_of_its_own(db):
    shown = groups_for(User(username="all", is_superuser=True), "/", NAVIGATION)
    assert len({entry.href for group in shown for entry in group.entries}) == len(entries_of(NAVIGATION))
