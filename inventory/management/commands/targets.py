"""`manage.py targets`: reckon the targets of all parts, for whole kits where kits are sold."""

import json
from argparse import ArgumentTypeError
from decimal import Decimal, InvalidOperation
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from inventory.acting import ActError
from inventory.models import Target, TargetRun
from inventory.targeting import begin, go_on, unfinished


class Command(BaseCommand):
    help = (
        "Reckon what stock level each part should have. A run that is stopped goes on where it stopped with "
        "--resume; targets set by hand are left alone."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """What is wanted, and how it is told."""
        aim = parser.add_mutually_exclusive_group()
        aim.add_argument(
            "--wanted",
            type=_number,
            help=f"the share of kits to ship complete from stock ({settings.SHOP_KITS_FROM_STOCK})",
        )
        aim.add_argument(
            "--budget",
            type=_number,
            help="or the money to tie up in the parts of kits at most, such as 25000",
        )
        parser.add_argument("--resume", action="store_true", help="go on with the run that was stopped")
        parser.add_argument("--json", action="store_true", help="for a machine")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Begin or take up, go on to the end, and say what came of it."""
        try:
            run = go_on(_chosen(options), self._told)
        except ActError as error:
            how = " (manage.py targets --resume)" if unfinished() else ""
            raise CommandError(f"{error.message}{how}") from error
        if run.stage == TargetRun.Stage.FAILED:
            raise CommandError(run.note)
        self.stdout.write(json.dumps(plain(run), indent=2) if options["json"] else "\n".join(lines(run)))

    def _told(self, done: int, total: int, what: str) -> None:
        self.stderr.write(f"\r{what}: {done} of {total}", ending="\n" if done == total else "")
        self.stderr.flush()


def _chosen(options: dict[str, Any]) -> TargetRun:
    if options["resume"]:
        if options["wanted"] is not None or options["budget"] is not None:
            raise CommandError("A run that goes on wants what it wanted: leave out --wanted and --budget.")
        run = unfinished()
        if run is None:
            raise CommandError("No run was stopped: leave out --resume to begin one.")
        return run
    wanted = settings.SHOP_KITS_FROM_STOCK if options["wanted"] is None else options["wanted"]
    return begin(None, wanted=wanted, budget=options["budget"])


def plain(run: TargetRun) -> dict[str, Any]:
    """All of it, for JSON."""
    return {
        "run": run.pk,
        "stage": run.stage,
        "parts": run.parts_done,
        "wanted": str(run.wanted),
        "budget": None if run.budget is None else str(run.budget),
        "reached": None if run.reached is None else str(run.reached),
        "tied_up": None if run.tied_up is None else str(run.tied_up),
        "frontier": run.frontier,
        "note": run.note,
        "by_hand": _by_hand(run),
    }


def lines(run: TargetRun) -> list[str]:
    """The outcome for a person."""
    said = [f"{run.parts_done} parts reckoned; {_by_hand(run)} of them are kept by hand."]
    if run.reached is not None:
        money = f"{settings.SHOP_CURRENCY} {run.tied_up:,.2f}"
        said.append(
            f"{run.reached:.1%} of the kits will ship complete from stock, with {money} in their parts."
        )
        said.append("What could be had:")
        said += [f"{settings.SHOP_CURRENCY} {cents:>14}  {share:.1%}" for cents, share in run.frontier]
    if run.note:
        said.append(run.note)
    return said


def _by_hand(run: TargetRun) -> int:
    return Target.objects.filter(run=run, set_by=Target.SetBy.HAND).count()


def _number(said: str) -> Decimal:
    try:
        found = Decimal(said)
    except InvalidOperation:
        found = Decimal("NaN")
    if not found.is_finite():
        raise ArgumentTypeError(f"{said!r} is no number; write one such as 0.95")
    return found
