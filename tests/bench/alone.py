"""A job in a process of its own, with the time it took there and the most memory it ever had."""

from __future__ import annotations

import multiprocessing
import sys
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Generic, ParamSpec, TypeVar

A = ParamSpec("A")
T = TypeVar("T")


@dataclass(frozen=True)
class Spent(Generic[T]):
    """`seconds` by the clock and `busy` of the processor; `peak` in MiB, with the interpreter."""

    result: T
    seconds: float
    busy: float
    peak: float

    @property
    def told(self) -> str:
        return f"{self.seconds:.1f} s ({self.busy:.1f} s of processor), peak {self.peak:,.0f} MiB"


def alone(job: Callable[A, T], *args: A.args, **kwargs: A.kwargs) -> Spent[T]:
    """Run `job`, a function of a module, in a fresh interpreter; to load its modules is not timed."""
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(1, mp_context=context) as pool:
        return pool.submit(_measured, partial(job, *args, **kwargs)).result()


def _measured(job: Callable[[], T]) -> Spent[T]:
    started, busy = time.perf_counter(), time.process_time()
    result = job()
    seconds, busy = time.perf_counter() - started, time.process_time() - busy
    return Spent(result, seconds, busy, _peak())


def _peak() -> float:
    """The most memory of this interpreter; getrusage would tell that of who started it, if that was more."""
    status = Path("/proc/self/status").read_text().split()
    return int(status[status.index("VmHWM:") + 1]) / 1024


def say(what: str, done: int, total: int) -> None:
    """How far it is, on the error stream, over the line before."""
    sys.stderr.write(f"\r{what}: {done:,} of {total:,}{'' if done < total else chr(10)}")
    sys.stderr.flush()
