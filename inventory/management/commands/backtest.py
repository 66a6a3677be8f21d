"""What our targets would have done, beside the normal curve's.

`manage.py backtest FILE` replays a table of past demand part by part, `manage.py backtest --kits` the shop's
own kit sales, kit by kit and day by day.
"""

import json
from argparse import ArgumentTypeError
from collections.abc import Callable
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any, TypeVar

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from inventory.planning import PlanningError
from inventory.planning.backtest import (
    OURS_ALONE,
    POLICIES,
    Rules,
    backtest,
    backtest_kits,
    lead_chances,
    lines,
    lines_of_kits,
    plain,
    plain_kits,
    read_cents,
    read_table,
)
from inventory.planning.demand import Calendar
from inventory.targeting.past_kits import past_kits

T = TypeVar("T")
MOST_MONTHS = 120


class Command(BaseCommand):
    help = (
        "Replay a table of past demand, month by month, with our targets, with the normal approximation and "
        "with Croston's forecast; print the service reached, the stock and the cost of each. With --kits: "
        "the shop's own sales, kit by kit, with whole-kit targets and without."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """The table, or the shop's own kits, and how the shop buys."""
        _add_kits(parser)
        parser.add_argument(
            "file",
            type=Path,
            nargs="?",
            help="a CSV: the month, then a part a column; empty is not on sale",
        )
        parser.add_argument(
            "--lead", type=float, default=2, help="months from order to shelf (2); 1.5 is 1 or 2"
        )
        parser.add_argument(
            "--review", type=int, default=1, help="months from one look at the stock to the next (1)"
        )
        parser.add_argument(
            "--refresh", type=int, default=0, help="months from one forecast to the next (each review)"
        )
        parser.add_argument(
            "--fill",
            type=float,
            default=0.95,
            help="the share wanted from the shelf, of pieces or kits (0.95)",
        )
        parser.add_argument(
            "--warm-up", type=int, default=24, help="months of each part to learn from first (24)"
        )
        parser.add_argument(
            "--least-sales", type=int, default=1, help="and in so many of them it was asked for (1)"
        )
        parser.add_argument("--lost", action="store_true", help="what is short is lost, and not waited for")
        _add_money(parser)
        _add_ways(parser)

    def handle(self, *_args: Any, **options: Any) -> None:
        """Read, replay, print. A file or figure that will not do ends it with what to do."""
        if options["kits"] == (options["file"] is not None):
            raise CommandError("Name a file, or --kits for the shop's own sales: one of the two.")
        if options["kits"]:
            self._kits(options)
            return
        try:
            table = _read(options["file"], read_table)
            costs = options["costs"]
            cents = None if costs is None else _read(costs, lambda said: read_cents(said, table.parts))
            told = self._told if options["progress"] else None
            policies = (*POLICIES, OURS_ALONE) if options["alone"] else POLICIES
            found = backtest(table.values, _rules(options), cents=cents, policies=policies, progress=told)
        except PlanningError as error:
            raise CommandError(str(error)) from error
        if options["json"]:
            self.stdout.write(json.dumps(plain(found), indent=2))
            return
        for line in lines(found, money=cents is not None):
            self.stdout.write(line)

    def _kits(self, options: dict[str, Any]) -> None:
        months, learn, wanted = options["months"], options["learn"], options["fill"]
        if not 0 < learn < months <= MOST_MONTHS:
            raise CommandError(
                f"Learn from some of the months and replay the rest, of {MOST_MONTHS} at most."
            )
        if not 0 < wanted < 1:
            raise CommandError(f"A wanted share lies between 0 and 1: 0.95, not {wanted}.")
        today, calendar = timezone.localdate(), Calendar("month")
        until = today.replace(day=1)
        split = calendar.first_day(calendar.number(until) - months + learn)
        try:
            past = past_kits(today, months)
            found = backtest_kits(past, split=split, until=until, wanted=wanted, seed=options["seed"])
        except PlanningError as error:
            raise CommandError(str(error)) from error
        said = json.dumps(plain_kits(found), indent=2) if options["json"] else "\n".join(lines_of_kits(found))
        self.stdout.write(said)

    def _told(self, done: int, total: int) -> None:
        self.stderr.write(f"\r{done} of {total}", ending="\n" if done == total else "")
        self.stderr.flush()


def _add_kits(parser: CommandParser) -> None:
    parser.add_argument(
        "--kits",
        action="store_true",
        help="the shop's own kit sales instead of a file",
    )
    parser.add_argument("--months", type=int, default=24, help="with --kits: so many whole months back (24)")
    parser.add_argument(
        "--learn", type=int, default=12, help="with --kits: the first so many of them to learn from (12)"
    )


def _read(path: Path, reader: Callable[[list[str]], T]) -> T:
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise CommandError(f"{path} cannot be read: {error.strerror}.") from error
    except UnicodeDecodeError as error:
        raise CommandError(f"{path} is no text in UTF-8: save it as CSV with that encoding.") from error
    try:
        return reader(text.splitlines(keepends=True))
    except PlanningError as error:
        raise CommandError(f"{path}: {error}") from error


def _rules(options: dict[str, Any]) -> Rules:
    return Rules(
        lead_chances(options["lead"]),
        review=options["review"],
        refresh=options["refresh"],
        warm_up=options["warm_up"],
        least_sales=options["least_sales"],
        wanted=options["fill"],
        waits=not options["lost"],
        order_cents=float(options["order_cost"] * 100),
        holding_rate=options["holding"],
        seed=options["seed"],
    )


def _money(said: str) -> Decimal:
    try:
        found = Decimal(said)
    except InvalidOperation:
        found = Decimal("NaN")
    if not found.is_finite() or found < 0:
        raise ArgumentTypeError(f"{said!r} is no sum of money; write one such as 12.50")
    return found


def _add_money(parser: CommandParser) -> None:
    parser.add_argument("--costs", type=Path, help="a CSV of lines: part, price of a piece")
    parser.add_argument("--order-cost", type=_money, default=Decimal(0), help="what an order costs (0)")
    parser.add_argument("--holding", type=float, default=0.2, help="a year on the shelf, of the price (0.2)")


def _add_ways(parser: CommandParser) -> None:
    parser.add_argument("--seed", type=int, default=0, help="for lead times that are drawn (0)")
    parser.add_argument(
        "--alone",
        action="store_true",
        help="also ours with the spread of each part from its own past only",
    )
    parser.add_argument("--json", action="store_true", help="for a machine")
    parser.add_argument("--progress", action="store_true", help="say on the error stream how far it is")
