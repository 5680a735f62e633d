"""What holds for every test: no network beyond this machine, and tables that may be emptied between tests."""

import socket
from collections.abc import Iterator

import pytest
from django.conf import settings
from django.db import connections
from django.test import TransactionTestCase
from hypothesis import HealthCheck
from hypothesis import settings as made_up

from tests.emptying import empty
from tests.network import local_only

pytest_plugins = ["tests.brewhouse", "tests.processes"]

# How long an example takes says how busy the machine is, and nothing about what is tested.
made_up.register_profile("unhurried", deadline=None, suppress_health_check=[HealthCheck.too_slow])
made_up.load_profile("unhurried")


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
