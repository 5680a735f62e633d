"""A real Chromium against a live server: who is signed in, and what no page may do unnoticed."""

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from playwright.sync_api import BrowserContext, Page
from pytest_django.live_server_helper import LiveServer

from tests.brewhouse import Brewhouse
from tests.browser.story import many_lots, tell_story
from tests.browser.watch import Watch

QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
TABLET = {"width": 1024, "height": 768}

Opened = Callable[[str | None, str], Page]
"""A role, "" for somebody without one or None for nobody, and an address; the page that is answered."""


def pytest_configure(config: pytest.Config) -> None:
    """A picture of every page on which a test failed is kept, outside of the checkout."""
    if config.option.screenshot == "off":
        config.option.screenshot = "only-on-failure"
        config.option.output = str(Path(tempfile.gettempdir()) / f"grainward-browser-{os.getuid()}")


@pytest.fixture(autouse=True, scope="session")
def database_beside_a_loop() -> Iterator[None]:
    """Playwright runs a loop in the tests' own thread, where Django would refuse to ask the database."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        yield


@pytest.fixture(scope="session")
def base_url() -> None:
    """Addresses are whole. (The plugin's own fixture is written in a way that pytest warns of.)"""


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """Debian's Chromium, and nothing that calls home."""
    return {**browser_type_launch_args, "executable_path": shutil.which("chromium"), "args": QUIET}


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """A tablet, and colours that are there at once."""
    return {**browser_context_args, "viewport": TABLET, "reduced_motion": "reduce"}


@pytest.fixture(autouse=True)
def watch(context: BrowserContext) -> Iterator[Watch]:
    """Every test fails on what the browser complains of, unless it said that it expects it."""
    seen = Watch(context)
    yield seen
    assert seen.faults == []


@pytest.fixture
def complaints(watch: Watch) -> list[str]:
    """What the browser complained of up to now; what is left when the test ends makes it fail."""
    return watch.faults


@pytest.fixture
def go(page: Page, live_server: LiveServer) -> Callable[[str], Page]:
    """Return a way to an address of the live server, as whoever is signed in."""

    def gone(address: str) -> Page:
        page.goto(live_server.url + address)
        return page

    return gone


@pytest.fixture
def sign_in(context: BrowserContext, live_server: LiveServer, brewhouse: Brewhouse) -> Callable[[str], None]:
    """Return a way to sign somebody in without the form: by role, "" for somebody without one."""

    def signed_in(role: str) -> None:
        client, name = Client(), settings.SESSION_COOKIE_NAME
        client.force_login(brewhouse.people[role])
        context.add_cookies([{"name": name, "value": client.cookies[name].value, "url": live_server.url}])

    return signed_in


@pytest.fixture
def opened(sign_in: Callable[[str], None], go: Callable[[str], Page]) -> Opened:
    """Return a way to sign somebody in and open an address."""

    def page_for(role: str | None, address: str) -> Page:
        if role is not None:
            sign_in(role)
        return go(address)

    return page_for


@pytest.fixture
def house(live_server: LiveServer, brewhouse: Brewhouse) -> Brewhouse:
    """A brewhouse that has brewed, blended, packaged and shipped."""
    tell_story(brewhouse)
    return brewhouse


@pytest.fixture
def full_house(live_server: LiveServer, brewhouse: Brewhouse) -> Brewhouse:
    """A brewhouse where more than 60 lots are in one tank."""
    many_lots(brewhouse)
    return brewhouse
