"""What holds for every test: no network beyond this machine, and tables that may be emptied between tests."""

import socket
from collections.abc import Iterator
from unittest import TestCase

import pytest
from django.conf import settings
from django.db import connections
from django.test import TransactionTestCase
from hypothesis import HealthCheck
from hypothesis import settings as made_up
from pytest_django import DjangoDbBlocker

from tests.emptying import empty
from tests.network import local_only
from tests.standing import STOREYS, plan_for, side_by_side

pytest_plugins = ["tests.brewhouse", "tests.processes"]

ASKS_DATABASE = {"db", "transactional_db", "live_server", "django_db_reset_sequences", "django_db_serialized_rollback"}

# How long an example takes says how busy the machine is, and nothing about what is tested.
made_up.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
made_up.load_profile("unhurried")


@pytest.hookimpl(tryfirst=True)
def pytest_itemcollected(item: pytest.Item) -> None:
    """Whatever may ask the database is marked so; pytest-django closes the database to every other test."""
    if item.get_closest_marker("django_db") or ASKS_DATABASE.intersection(getattr(item, "fixturenames", ())):
        item.add_marker("database")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests that stand on the same storeys run next to each other, in whatever order they are."""
    if cases := [item.nodeid for item in items if issubclass(getattr(item, "cls", None) or object, TestCase)]:
        raise pytest.UsageError(f"A TestCase knows nothing of what is built once; write functions: {cases[0]}")
    items[:] = side_by_side(items)


@pytest.fixture(autouse=True, scope="session")
def closed_network() -> Iterator[None]:
    """No connection leaves this machine while tests run."""
    with pytest.MonkeyPatch.context() as patch:
        for name in ("connect", "connect_ex"):
            patch.setattr(socket.socket, name, local_only(getattr(socket.socket, name)))
        yield


@pytest.fixture(autouse=True, scope="session")
def attachments_apart(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test writes into the attachments of the installation that it runs in."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(settings, "ATTACHMENTS_DIR", tmp_path_factory.mktemp("attachments"))
        yield


@pytest.fixture(autouse=True, scope="session")
def tables_may_be_emptied() -> Iterator[None]:
    """The emptying after a `transaction=True` or `live_server` test passes the append-only triggers."""

    def emptied(self: TransactionTestCase) -> None:
        for name in self._databases_names(include_mirrors=False):
            empty(connections[name])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", emptied)
        yield


@pytest.fixture(scope="session")
def storeys_end(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """Nothing stands any more when the tests' database is taken down."""
    yield
    with django_db_blocker.unblock():
        STOREYS.lower_to(0)


@pytest.fixture
def storeys(request: pytest.FixtureRequest, storeys_end: None, django_db_blocker: DjangoDbBlocker) -> None:
    """What the test asks for that is built once stands, and nothing else."""
    with django_db_blocker.unblock():
        STOREYS.raise_to(plan_for(request.node))


@pytest.fixture
def _django_db_helper(storeys: None, _django_db_helper: None) -> None:
    """The test's own transaction begins above the storeys: pytest-django's fixture comes after them."""
