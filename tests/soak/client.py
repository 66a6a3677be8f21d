"""A client as a process of its own, forked so that a successor is there at once."""

from __future__ import annotations

import os
import random
import signal
import traceback
from collections.abc import Callable

from .clerk import Clerk


def forked(make: Callable[[Callable[[str], None]], Clerk], fragility: float, acts: int, until: float) -> int:
    """Fork a client; returns its process id. The caller has no connection open that both would use."""
    pid = os.fork()
    if pid:
        return pid
    status = 1
    try:
        make(kills_itself(random.Random(os.getpid()), fragility)).work(acts, until)
        status = 0
    except BaseException:  # noqa: BLE001  # A fork never comes back as its parent, whatever happens.
        traceback.print_exc()
    finally:
        os._exit(status)


def kills_itself(chance: random.Random, fragility: float) -> Callable[[str], None]:
    """Now and then it is killed at the very moment, with nothing flushed and nobody told."""

    def hazard(_moment: str) -> None:
        if chance.random() < fragility:
            os.kill(os.getpid(), signal.SIGKILL)

    return hazard
