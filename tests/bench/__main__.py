"""`make bench`: a demo shop on PostgreSQL with its default durability, and a table of medians and ratios."""

import os
import platform
from datetime import date

from tests.servers import Postgres


def main() -> None:
    with Postgres(durable=True) as server:
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

        from . import fitting, reserving, solving, swapping
        from .table import show

        rows = [*fitting.run(), *solving.run(), *swapping.run(), *reserving.run(server)]
        print(f"{os.cpu_count()} cores, Python {platform.python_version()}, PostgreSQL with fsync on\n")
        print(show(rows))


if __name__ == "__main__":
    main()
