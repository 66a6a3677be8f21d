"""Several counters at once: processes that keep kits by the acts themselves, and begin together.

Processes, because threads of one Python would wait for each other and not for the rows.
"""

import json
import subprocess
import sys
from dataclasses import asdict
from types import TracebackType
from typing import Self

from .pgbench import Kits
from .rates import Rate


class Counters:
    """`with Counters(16) as counters: counters.keep(kits, clients=4, seconds=3)`; started once for all."""

    def __init__(self, most: int) -> None:
        self.processes = [
            subprocess.Popen(
                [sys.executable, "-m", "tests.bench.holder"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                text=True,
            )
            for _ in range(most)
        ]

    def __enter__(self) -> Self:
        for process in self.processes:
            self._heard(process)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for process in self.processes:
            process.kill()
            process.communicate()

    def keep(self, kits: Kits, clients: int, seconds: int) -> Rate:
        """How many kits so many counters keep a second together, and how long each act takes."""
        at_work = self.processes[:clients]
        for seed, process in enumerate(at_work):
            job = {"shelf": asdict(kits.shelf), "hot": kits.hot, "kind": kits.kind, "seconds": seconds}
            assert process.stdin is not None
            process.stdin.write(json.dumps({**job, "seed": seed}) + "\n")
            process.stdin.flush()
        took = [one for process in at_work for one in json.loads(self._heard(process))]
        return Rate(len(took) / seconds, took)

    def _heard(self, process: "subprocess.Popen[str]") -> str:
        assert process.stdout is not None
        line = process.stdout.readline()
        if not line:
            raise RuntimeError("A counter ended before it answered; its message stands above.")
        return line
