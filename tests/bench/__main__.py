"""`make bench`: a demo shop on PostgreSQL with its default durability, and a table of medians and ratios.

`python -m tests.bench` runs every group in this order; names of groups after it run only those.
"""

import os
import platform
import sys
from collections.abc import Callable
from datetime import date

from tests.servers import Postgres

from .table import Row, show

# The later ones fill the tables that the earlier ones want small.
GROUPS = (
    "fitting",
    "solving",
    "kit_targets",
    "swapping",
    "how_many",
    "reserving",
    "history",
    "over_http",
    "checking",
    "targets",
)


def main(names: list[str]) -> None:
    if unknown := set(names) - set(GROUPS):
        sys.exit(f"There is no group {', '.join(sorted(unknown))}: name some of {', '.join(GROUPS)}.")
    with Postgres(durable=True) as server:
        _set_up(server)
        rows = [row for name, run in _groups(server).items() if name in (names or GROUPS) for row in run()]
        print(f"{os.cpu_count()} cores, Python {platform.python_version()}, PostgreSQL with fsync on\n")
        print(show(rows))


def _set_up(server: Postgres) -> None:
    os.environ["DATABASE_URL"] = server.url
    os.environ["SHIMWRIGHT_SECRET_KEY"] = "for-benchmarks-only-and-as-long-as-the-check-asks-for"
    os.environ["DJANGO_SETTINGS_MODULE"] = "shop.settings"
    os.environ.pop("REDIS_URL", None)

    import django

    django.setup()
    from django.core.management import call_command

    from shop.demo import load
    from shop.demo.people import make_people

    call_command("migrate", verbosity=0)
    load(date.today())  # noqa: DTZ011  # the demo's dates count from the day of the shop
    make_people()


def _groups(server: Postgres) -> dict[str, Callable[[], list[Row]]]:
    from . import (
        checking,
        fitting,
        history,
        how_many,
        kit_planning,
        over_http,
        planning,
        reserving,
        solving,
        swapping,
    )

    return {
        "fitting": fitting.run,
        "solving": solving.run,
        "kit_targets": kit_planning.run,
        "swapping": swapping.run,
        "how_many": how_many.run,
        "reserving": lambda: reserving.run(server),
        "history": history.run,
        "over_http": over_http.run,
        "checking": checking.run,
        "targets": planning.run,
    }


if __name__ == "__main__":
    main(sys.argv[1:])
