"""The closed door to the network: what tests may reach, and what they are told when they reach further."""

import ipaddress
from collections.abc import Callable
from typing import Any


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


def local_only(connect: Callable[..., Any]) -> Callable[..., Any]:
    """Return `connect`, a method of a socket, refusing every address that is not on this machine."""

    def guarded(channel: Any, address: Any) -> Any:
        if not is_local(address):
            raise NetworkIsClosed(f"A test tried to reach {address}.")
        return connect(channel, address)

    return guarded
