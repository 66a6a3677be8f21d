"""One counter that keeps kits as fast as it can whenever it is told to: started by `tests.bench.counters`.

A line of JSON on its input is one job. Its answer is a line of JSON: the seconds that each act took.
"""

import json
import random
import sys
import time
from datetime import timedelta
from typing import TYPE_CHECKING

import django

if TYPE_CHECKING:
    from .pgbench import Kits


def keep_for(kits: "Kits", seconds: float, seed: int, at_most: int = sys.maxsize) -> list[float]:
    """Hold or commit kits, one after the other, for so long or so many; the seconds that each took."""
    from django.contrib.auth.models import User
    from django.utils import timezone

    from inventory.models import Reservation
    from inventory.reserving import commit, hold

    user = User.objects.get(username="counter")
    chance = random.Random(seed)
    until = timezone.now() + timedelta(days=1)
    took: list[float] = []
    started = time.perf_counter()
    while (before := time.perf_counter()) - started < seconds and len(took) < at_most:
        wants = dict.fromkeys(kits.parts(chance.randint(*kits.starts)), 1)
        if kits.kind == "hold":
            kept = hold(user, wants, until=until, reference="bench")
        else:
            kept = commit(user, wants, reference="bench")
        took.append(time.perf_counter() - before)
        assert kept.state == Reservation.State.KEPT
    return took


def main() -> None:
    django.setup()

    from .pgbench import Kits
    from .shelves import Shelf

    print("ready", flush=True)
    for line in sys.stdin:
        job = json.loads(line)
        kits = Kits(Shelf(**job["shelf"]), job["hot"], job["kind"])
        print(json.dumps(keep_for(kits, job["seconds"], job["seed"])), flush=True)


if __name__ == "__main__":
    main()
