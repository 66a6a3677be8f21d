"""A PostgreSQL that comes up again on the same data when it has been killed."""

from __future__ import annotations

import os
import signal
import time
from contextlib import suppress

import psycopg

from tests.servers import Postgres

# Told to stop, the shell passes it on to the server of the moment; a server that ended by itself, or was
# killed, is started again, and again while what is left of the last one still holds its memory.
KEEP_IT_UP = (
    'trap \'kill -QUIT "$server"; wait; exit 0\' QUIT; while :; do "$@" & server=$!; wait; sleep 0.2; done'
)
PATIENCE_S = 60


class LastingPostgres(Postgres):
    """`kill()` ends all its processes at once, as a power cut would; it recovers by itself."""

    def _postgres(self) -> list[str]:
        return ["/bin/sh", "-c", KEEP_IT_UP, "sh", *super()._postgres()]

    def kill(self) -> None:
        """SIGKILL to the server and every process it has; returns when it answers again."""
        with psycopg.connect(self.url, autocommit=True) as connection:
            rows = connection.execute("SELECT pid FROM pg_stat_activity").fetchall()
        first = int((self.keeper.directory / "data" / "postmaster.pid").read_text().split()[0])
        for pid in [first, *(pid for (pid,) in rows)]:
            with suppress(ProcessLookupError):  # Ended meanwhile: of itself, or because the first one did.
                os.kill(pid, signal.SIGKILL)
        self.wait_until_back()

    def wait_until_back(self) -> None:
        until = time.monotonic() + PATIENCE_S
        while True:
            try:
                psycopg.connect(self.url).close()
            except psycopg.OperationalError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.05)
            else:
                return
