"""A mail server on this machine, which keeps what it is given."""

import socket
from collections.abc import Iterator
from contextlib import contextmanager
from email import message_from_bytes
from email.message import Message
from typing import Any

from aiosmtpd.controller import Controller


class MailSink:
    """What came, in order."""

    def __init__(self) -> None:
        self.came: list[Message] = []
        self.address = ""

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        """Keep it."""
        self.came.append(message_from_bytes(envelope.content))
        return "250 kept"


@contextmanager
def mail_sink() -> Iterator[MailSink]:
    """Run a mail server as long as the block lasts; `address` is what EMAIL_URL wants."""
    sink = MailSink()
    controller = Controller(sink, hostname="127.0.0.1", port=_free_port())
    controller.start()
    sink.address = f"smtp://127.0.0.1:{controller.port}"
    try:
        yield sink
    finally:
        controller.stop()


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
