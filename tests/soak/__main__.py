"""`python -m tests.soak --seconds 600 --clients 8 --seed 7`: the long run, on a PostgreSQL of its own.

The server keeps its default durability and is killed now and then, as the clients are. Ends with status 1,
the seed and the first things that are wrong, if there are any; and always within its time and some minutes.
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

from .conductor import GRACE_S, Conductor, Failed, Plan
from .server import LastingPostgres

VERDICT_S = 600  # The watchdog's patience with everything but the acting itself.


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--seconds", type=float, default=600)
    parser.add_argument("--clients", type=int, default=8)
    parser.add_argument(
        "--seed", default=None, help="Draws the acts and the kills; their order in time varies."
    )
    parser.add_argument("--client-kills", type=float, default=3, help="Mean seconds between two; 0 for none.")
    parser.add_argument(
        "--server-kills", type=float, default=45, help="Mean seconds between two; 0 for none."
    )
    asked = parser.parse_args()
    seed = asked.seed or str(random.SystemRandom().randrange(10**6))
    signal.signal(signal.SIGALRM, too_long)
    signal.alarm(int(asked.seconds) + GRACE_S + VERDICT_S)
    say(f"Seed {seed}: {asked.clients} clients for {asked.seconds:.0f} s")
    plan = Plan(
        seed,
        asked.seconds,
        asked.clients,
        client_kills=asked.client_kills or None,
        server_kills=asked.server_kills or None,
    )
    with LastingPostgres(durable=True) as server, TemporaryDirectory() as folder:
        return soak(plan, server, Path(folder))


def too_long(*_: object) -> None:
    """Nobody waits for ever."""
    raise Failed("The run took much longer than it was asked to.")


def soak(plan: Plan, server: LastingPostgres, folder: Path) -> int:
    os.environ["DATABASE_URL"] = server.url
    os.environ["SHIMWRIGHT_SECRET_KEY"] = "for-this-run-only-and-as-long-as-the-system-check-asks"
    os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
    os.environ.pop("REDIS_URL", None)

    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connection

    from .logs import told
    from .premises import open_shop
    from .report import report
    from .verdict import verdict

    call_command("migrate", verbosity=0)
    premises = open_shop(plan.clients)
    model = premises.model()
    connection.close()
    conductor = Conductor(plan, folder, server.kill)
    started, failed = time.monotonic(), []
    try:
        conductor.run()
    except Failed as error:
        failed = [str(error)]
    seconds = time.monotonic() - started
    server.wait_until_back()
    logs = [told(conductor.path(slot)) for slot in range(1, plan.clients + 1)]
    say(report(logs, died=conductor.died, servers=conductor.servers, seconds=seconds))
    wrong = failed + verdict(model, premises, logs)
    for line in wrong:
        say(f"WRONG: {line}")
    said = f"{len(wrong)} things are wrong" if wrong else "nothing oversold, lost or doubled"
    say(f"Seed {plan.seed}: {said}")
    return 1 if wrong else 0


def say(line: str) -> None:
    sys.stdout.write(line + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
