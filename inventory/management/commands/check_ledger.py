"""`manage.py check_ledger`: proves that what is kept beside the ledger agrees with it."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction

from inventory.checking import checks
from inventory.models import Movement


class Command(BaseCommand):
    help = "Recompute balances, stock and reservations from their records, and name every difference."

    def handle(self, *_args: Any, **_options: Any) -> None:
        """Print how much was checked; with differences, print each and end with exit code 1."""
        nested = connection.in_atomic_block
        with transaction.atomic():
            if connection.vendor == "postgresql" and not nested:
                # One moment for all sums: the shop goes on working meanwhile.
                with connection.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            done = [(check, list(check.differences())) for check in checks()]
            movements = Movement.objects.count()
        differences = [line for _, lines in done for line in lines]
        for line in differences:
            self.stdout.write(line)
        if differences:
            raise CommandError(
                f"{len(differences)} differences. Each figure named above was changed past the ledger: "
                "find out by whom before putting it right."
            )
        figures = sum(len(check.kept) for check, _ in done)
        self.stdout.write(f"{movements} movements and {figures} kept figures agree.")
