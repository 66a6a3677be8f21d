"""The parent's side of keeper.py, which explains why there are two."""

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Self

# A socket's path holds about 100 characters; some systems have a long temporary directory.
LONGEST_PARENT = 60


class ServerError(Exception):
    """A server did not start, or ended before it was told to; the message carries its log."""


@dataclass(frozen=True)
class Owner:
    """The unprivileged user that a server runs as."""

    uid: int
    gid: int


class Keeper:
    """A temporary directory, and at most one server in it, that both go when this process goes."""

    def __init__(self) -> None:
        parent = tempfile.gettempdir()
        if len(parent) > LONGEST_PARENT:
            parent = "/tmp"  # noqa: S108 - mkdtemp picks the name and closes it to others.
        self.directory = Path(tempfile.mkdtemp(prefix="shim-", dir=parent))
        self._process = subprocess.Popen(
            [sys.executable, "-I", "-S", str(Path(__file__).with_name("keeper.py")), str(self.directory)],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            bufsize=0,
            start_new_session=True,
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def pid(self) -> int:
        """The keeper's process; its session holds the server too."""
        return self._process.pid

    def run(
        self,
        commands: Sequence[Sequence[str]],
        stop: int,
        owner: Owner | None = None,
        environment: Mapping[str, str] | None = None,
    ) -> None:
        """Run the commands in turn, in the directory and with little more than that environment.

        The last one is the server, and is ended with the signal `stop`.
        """
        if owner:
            os.chown(self.directory, owner.uid, owner.gid)
        order = {
            "commands": [list(command) for command in commands],
            "environment": dict(environment or {}),
            "stop": stop,
            "uid": owner.uid if owner else None,
            "gid": owner.gid if owner else None,
        }
        self._send(json.dumps(order).encode() + b"\n")

    def wait_until(self, ready: Callable[[], bool], seconds: float = 60) -> None:
        """Ask until `ready` says yes.

        Raises:
            ServerError: the server has ended, or `seconds` have gone by.
        """
        deadline = time.monotonic() + seconds
        while not ready():
            if self._process.poll() is not None:
                self.close()
            if time.monotonic() > deadline:
                log = (self.directory / "log").read_text(errors="replace")[-4000:]
                self.close()
                raise ServerError(f"The server did not answer within {seconds:.0f} s. Its log ends:\n{log}")
            time.sleep(0.01)

    def close(self) -> None:
        """End the server and remove the directory; again does no harm.

        Raises:
            ServerError: the server had ended before; its log is in the message.
        """
        if self._process.stdin is None or self._process.stdin.closed:
            return
        # A byte as well as the end: a forked child may still hold the other end of the pipe open.
        self._send(b"\n")
        self._process.stdin.close()
        assert self._process.stdout is not None
        with self._process.stdout as output:
            said = output.read().decode(errors="replace")
        if self._process.wait() != 0:
            raise ServerError(f"The server ended before it was told to. {said}")

    def _send(self, message: bytes) -> None:
        assert self._process.stdin is not None
        with suppress(BrokenPipeError):  # The keeper has ended; wait_until and close report why.
            self._process.stdin.write(message)
