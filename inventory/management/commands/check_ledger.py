"""`manage.py check_ledger`: proves that what is kept beside the ledger agrees with it."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction

from inventory.checking import checks, figures_kept
from inventory.models import Movement


class Command(BaseCommand):
    help = "Recompute balances, stock, values and reservations from their records; name every difference."

    def handle(self, *_args: Any, **_options: Any) -> None:
        """Print how much was checked; with differences, print each and end with exit code 1."""
        nested = connection.in_atomic_block
        with transaction.atomic():
            if connection.vendor == "postgresql" and not nested:
                # One moment for all sums: the shop goes on working meanwhile.
                with connection.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
                    # Room for the sums of a long ledger, and leave to share the work among processors.
                    cursor.execute("SET LOCAL work_mem = '256MB'")
                    cursor.execute("SET LOCAL parallel_tuple_cost = 0.01")
            differences = 0
            for check in checks():
                for line in check.differences():
                    self.stdout.write(line)
                    differences += 1
            movements, figures = Movement.objects.count(), figures_kept()
        if differences:
            raise CommandError(
                f"{differences} differences. Each figure named above was changed past the ledger: "
                "find out by whom before putting it right."
            )
        self.stdout.write(f"{movements} movements and {figures} kept figures agree.")
