"""A job in a process of its own, with the time it took there and the most memory it ever had."""

from __future__ import annotations

import multiprocessing
import resource
import sys
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
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
    return Spent(result, seconds, busy, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


def say(what: str, done: int, total: int) -> None:
    """How far it is, on the error stream, over the line before."""
    sys.stderr.write(f"\r{what}: {done:,} of {total:,}{'' if done < total else chr(10)}")
    sys.stderr.flush()
