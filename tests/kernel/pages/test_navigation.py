import pytest

from brewery.kernel.access import Right
from brewery.kernel.models import User
from brewery.kernel.pages.navigation import NAVIGATION, NavigationEntry, entries_for, lies_under
from tests.brewhouse import person

ENTRIES = (
    NavigationEntry("Tanks and stores", "home", Right.VIEW_RECORDS),
    NavigationEntry("Lots", "lots", Right.VIEW_RECORDS),
    NavigationEntry("Ways in", "login", Right.MANAGE_PEOPLE),
)


@pytest.fixture
def brewer(db: None) -> User:
    return person("joss", "brewing")


def test_people_are_shown_what_they_have_the_right_to(brewer):
    assert [entry.label for entry in entries_for(brewer, "/", ENTRIES)] == ["Tanks and stores", "Lots"]


def test_somebody_without_a_role_is_shown_nothing(db):
    assert entries_for(person("guest"), "/", NAVIGATION) == []


@pytest.mark.parametrize(
    ("path", "current"),
    [("/", ["Tanks and stores"]), ("/lots/", ["Lots"]), ("/lots/7/", ["Lots"]), ("/elsewhere/", [])],
)
def test_the_page_that_one_is_on_or_below_is_the_current_one(brewer, path, current):
    assert [entry.label for entry in entries_for(brewer, path, ENTRIES) if entry.is_current] == current


def test_a_longer_name_is_not_below_a_shorter_one():
    assert not lies_under("/lots-of-things/", "/lots/")


def test_every_entry_of_the_real_navigation_has_a_page(db):
    shown = entries_for(User(username="all", is_superuser=True), "/", NAVIGATION)
    assert len({entry.href for entry in shown}) == len(NAVIGATION)
