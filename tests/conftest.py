"""What holds for every test: no network beyond this machine, and tables that may be emptied between tests."""

import ipaddress
import socket
from collections.abc import Iterator
from typing import Any

import pytest
from django.db import connections
from django.test import TransactionTestCase

from brewery.kernel.database import triggers


class NetworkIsClosed(Exception):
    """A test reached for the network; everything it needs is on this machine."""


def is_local(address: Any) -> bool:
    """Return whether `address`, as a socket takes it, stays on this machine."""
    if not isinstance(address, tuple):  # a path of a Unix socket
        return True
    host = address[0]
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


@pytest.fixture(autouse=True, scope="session")
def closed_network() -> Iterator[None]:
    """No connection leaves this machine while tests run."""
    connect, connect_ex = socket.socket.connect, socket.socket.connect_ex

    def refuse_others(self: socket.socket, address: Any) -> None:
        if not is_local(address):
            raise NetworkIsClosed(f"A test tried to reach {address}.")
        connect(self, address)

    def refuse_others_ex(self: socket.socket, address: Any) -> int:
        if not is_local(address):
            raise NetworkIsClosed(f"A test tried to reach {address}.")
        return connect_ex(self, address)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(socket.socket, "connect", refuse_others)
        patch.setattr(socket.socket, "connect_ex", refuse_others_ex)
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
