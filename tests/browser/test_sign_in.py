"""In and out through the real form."""

import re

import pytest
from django.conf import settings
from playwright.sync_api import expect

from tests.brewhouse import PASSWORD

pytestmark = pytest.mark.browser


def enter(page, username, password):
    page.get_by_label("Username").fill(username)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()


def test_a_person_comes_in_where_she_wanted_to_and_goes_out(brewhouse, go):
    page = go("/lots/")
    expect(page).to_have_url(re.compile(r"/sign-in/\?next=/lots/$"))
    enter(page, "brewing", "not it")
    expect(page.get_by_role("alert")).to_contain_text("correct username and password")
    enter(page, "brewing", PASSWORD)
    expect(page).to_have_url(re.compile(r"/lots/$"))
    expect(page.locator(".person")).to_contain_text("brewing")
    page.get_by_role("button", name="Sign out").click()
    expect(page).to_have_url(re.compile("/sign-in/$"))
    page.go_back()
    page.reload()
    expect(page).to_have_url(re.compile("/sign-in/"))


def test_who_guesses_too_often_is_locked_out_even_with_the_right_password(brewhouse, watch, go):
    page = go("/sign-in/")
    for _ in range(settings.AXES_FAILURE_LIMIT - 1):
        enter(page, "quality", "guessed")
        expect(page.get_by_role("alert")).to_be_visible()
    watch.expect(settings.AXES_HTTP_RESPONSE_CODE)
    enter(page, "quality", "guessed")
    expect(page.get_by_role("heading", level=1)).to_have_text("Locked for a while")
    page.goto(page.url)
    enter(page, "quality", PASSWORD)
    expect(page.get_by_role("heading", level=1)).to_have_text("Locked for a while")
