"""What holds for every test: no network beyond this machine, and tables that may be emptied between tests."""

import socket
from collections.abc import Iterator

import pytest
from django.conf import settings
from django.db import connections
from django.test import TransactionTestCase
from hypothesis import HealthCheck
from hypothesis import settings as made_up

from brewery.kernel.database import triggers
from tests.network import local_only

pytest_plugins = ["tests.brewhouse"]

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
    """The flush after a `transaction=True` or `live_server` test passes the append-only triggers.

    They are dropped for the flush alone; the flush sends post_migrate, and what that does not bring back we do.
    """
    flush = TransactionTestCase._fixture_teardown

    def flush_without_triggers(self: TransactionTestCase) -> None:
        names = list(self._databases_names(include_mirrors=False))
        for name in names:
            triggers.drop_all(connections[name])
        flush(self)
        for name in names:
            triggers.install_all(connections[name])

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", flush_without_triggers)
        yield
