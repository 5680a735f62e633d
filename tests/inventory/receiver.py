"""A receiver of webhooks on this machine, which keeps what it was sent and answers as it is told."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Event, Thread
from typing import Any

PATIENCE_S = 60.0


@dataclass
class Receiver:
    """What came, each with its headers and body; `answers` are given in turn, and then 204."""

    address: str = ""
    came: list[tuple[dict[str, str], bytes]] = field(default_factory=list)
    answers: list[int] = field(default_factory=list)
    may_answer: Event = field(default_factory=Event)

    def __post_init__(self) -> None:
        self.may_answer.set()

    def hold(self) -> None:
        """From now on nobody has an answer."""
        self.may_answer.clear()

    def let_go(self) -> None:
        """Whoever waits for an answer has it."""
        self.may_answer.set()

    @property
    def told(self) -> dict[str, Any]:
        """What it was told, by webhook-id: what comes twice is dropped."""
        return {headers["webhook-id"]: json.loads(body) for headers, body in self.came}


@contextmanager
def receiving() -> Iterator[Receiver]:
    """Run a receiver as long as the block lasts."""
    receiver = Receiver()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            receiver.came.append(({key.lower(): value for key, value in self.headers.items()}, body))
            receiver.may_answer.wait(PATIENCE_S)
            self.send_response(receiver.answers.pop(0) if receiver.answers else 204)
            self.send_header("Location", receiver.address)
            self.end_headers()

        def log_message(self, *_: Any) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    receiver.address = f"http://127.0.0.1:{server.server_port}/told"
    thread = Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield receiver
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
