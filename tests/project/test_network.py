"""Tests reach nothing beyond this machine."""

import socket

import pytest

from tests.network import NetworkIsClosed, is_local


@pytest.mark.parametrize("method", ["connect", "connect_ex"])
def test_an_address_elsewhere_is_refused(method: str):
    # 192.0.2.1 is kept for documentation: RFC 5737, section 3.
    with socket.socket() as channel, pytest.raises(NetworkIsClosed, match=r"192\.0\.2\.1"):
        getattr(channel, method)(("192.0.2.1", 80))


def test_an_address_here_is_not():
    with socket.create_server(("127.0.0.1", 0)) as server, socket.socket() as channel:
        channel.connect(server.getsockname())


@pytest.mark.parametrize(
    ("address", "local"),
    [
        (("127.0.0.1", 1), True),
        (("::1", 1, 0, 0), True),
        (("localhost", 1), True),
        ("/var/run/server.socket", True),
        (("192.0.2.1", 1), False),
        (("server.example", 1), False),
    ],
)
def test_only_this_machine_is_local(address, local: bool):
    assert is_local(address) is local
