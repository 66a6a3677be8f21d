"""A webhook of another system: a real server on this machine that remembers what it was told."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

import standardwebhooks

from inventory.models import Webhook
from inventory.webhooks import new_secret


@dataclass
class Listener:
    """`answers` are the next answers' status, the last of them for ever, with `reason` if it says one.

    `heard` are headers and bodies.
    """

    url: str
    answers: list[int] = field(default_factory=lambda: [204])
    headers: dict[str, str] = field(default_factory=dict)
    reason: str | None = None
    heard: list[tuple[dict[str, str], bytes]] = field(default_factory=list)

    def webhook(self) -> Webhook:
        return Webhook.objects.create(url=self.url, secret=new_secret())

    def verified(self, webhook: Webhook) -> list[Any]:
        """The bodies, as the library that other systems use reads them: it raises on a wrong signature."""
        reader = standardwebhooks.Webhook(webhook.secret)
        return [reader.verify(body, headers) for headers, body in self.heard]

    @property
    def names(self) -> list[str]:
        return [headers["webhook-id"] for headers, _ in self.heard]


@contextmanager
def listening() -> Iterator[Listener]:
    """Serves until the end of the block."""

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["content-length"]))
            listener.heard.append(({name.lower(): value for name, value in self.headers.items()}, body))
            answers = listener.answers
            self.send_response(answers.pop(0) if len(answers) > 1 else answers[0], listener.reason)
            for name, value in listener.headers.items():
                self.send_header(name, value)
            self.send_header("content-length", "0")
            self.end_headers()

        def log_message(self, *_: object) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    listener = Listener(f"http://127.0.0.1:{server.server_port}/alerts")
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield listener
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
