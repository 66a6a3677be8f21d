"""The shop as it is served, for benchmarks over HTTP: gunicorn on a free port."""

import http.client
import json
import socket
import subprocess
import sys
import time
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any


class Client:
    """One kept-alive connection with a token; every answer is JSON."""

    def __init__(self, port: int, token: str) -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        self.headers = {"Authorization": f"Token {token}", "Content-Type": "application/json"}

    def ask(self, method: str, path: str, body: Any = None) -> Any:
        headers = {**self.headers, "Idempotency-Key": uuid.uuid4().hex}
        self.connection.request(method, path, None if body is None else json.dumps(body), headers)
        answer = self.connection.getresponse()
        text = answer.read()
        if answer.status >= 400:
            raise RuntimeError(f"{method} {path} answered {answer.status}: {text[:500]!r}")
        return json.loads(text)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@contextmanager
def served(workers: int = 1, threads: int = 2) -> Iterator[int]:
    """The port of a running shop; it uses the environment's DATABASE_URL."""
    port = _free_port()
    command = [sys.executable, "-m", "gunicorn", "shop.wsgi", "--bind", f"127.0.0.1:{port}"]
    command += ["--workers", str(workers), "--worker-class", "gthread", "--threads", str(threads)]
    command += ["--log-level", "warning"]
    with subprocess.Popen(command) as process:
        try:
            _wait(port, process)
            yield port
        finally:
            process.terminate()


def _wait(port: int, process: "subprocess.Popen[bytes]") -> None:
    for _attempt in range(200):
        if process.poll() is not None:
            raise RuntimeError("The server ended before it answered; its message stands above.")
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    raise RuntimeError("The server did not answer within ten seconds.")
