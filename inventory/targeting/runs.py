"""Runs: one reckoning of all targets, which may be killed at any moment and goes on where it stopped.

What is done is written in batches; in the transaction of each the run is locked and counts the parts up, and
a part is done when its target carries the number of the run. So two workers at one run do nothing twice, and
the day of the run's start is its today, whenever it goes on.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from decimal import Decimal
from functools import partial

from django.contrib.auth.models import User
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory import alerting
from inventory.acting import ActError, Conflict, act, retrying
from inventory.models import Target, TargetRun
from inventory.planning.ordering import PlanningError

from .alone import recommend
from .kits_wanted import Wanted, kits_wanted
from .plan import Plan, made
from .recommended import Recommended
from .telling import Tell, silent
from .whole_kits import KitsFound, for_kits
from .writing import write

Stage = TargetRun.Stage
OPEN = (Stage.PARTS, Stage.KITS)
BATCH = 2000
LONGEST_NOTE = 300


@act("inventory.buy")
def start(user: User, *, wanted: Decimal, budget: Decimal | None = None) -> TargetRun:
    """Have all targets reckoned, for a share of kits complete from stock or for a budget. A worker does it.

    Raises ActError "no-share" or "no-budget" for figures that cannot be wanted, Conflict while another run
    is under way.
    """
    run = begin(user, wanted=wanted, budget=budget)
    _hand_over(run)
    return run


@act("inventory.buy")
def take_up(_user: User, run: TargetRun) -> TargetRun:
    """Have a run go on whose worker died. Harmless while it lives: nothing is done twice."""
    if run.stage not in OPEN:
        raise Conflict(f"The {run} has ended: start another.")
    _hand_over(run)
    return run


def _hand_over(run: TargetRun) -> None:
    from inventory.tasks import reckon_targets

    transaction.on_commit(lambda: reckon_targets.delay(run.pk))


def begin(by: User | None, *, wanted: Decimal, budget: Decimal | None = None) -> TargetRun:
    """A new run, of which nothing is done yet."""
    wanted = round(wanted, 4)
    if not 0 < wanted < 1:
        raise ActError(
            f"A share of {wanted} cannot be wanted: name one above 0 and below 1, 0.95 for 95 kits of 100.",
            code="no-share",
        )
    if budget is not None and budget < 0:
        raise ActError(f"A budget of {budget} buys nothing: name an amount of at least 0.", code="no-budget")
    if (other := unfinished()) is not None:
        raise _under_way(other)
    try:
        with transaction.atomic():
            return TargetRun.objects.create(started_at=timezone.now(), by=by, wanted=wanted, budget=budget)
    except IntegrityError as error:
        raise _under_way(unfinished()) from error


def _under_way(run: TargetRun | None) -> Conflict:
    which = f"The {run}" if run else "A reckoning"
    return Conflict(f"{which} is under way: let it finish, or have it go on if it stands still.")


def unfinished() -> TargetRun | None:
    """The run that has not ended, if there is one."""
    return TargetRun.objects.filter(stage__in=OPEN).first()


def go_on(run: TargetRun, tell: Tell | None = None) -> TargetRun:
    """Do what is left of a run, and return it as it then is; one that has ended is left alone.

    What cannot be, such as a share that no shelf can hold, ends it as failed, with what to do in its note.
    """
    if _fresh(run).stage not in OPEN:
        return _fresh(run)
    tell = tell or silent
    try:
        plan = made(run, tell)
        wanted = kits_wanted(plan)
        _reckon_parts(run, plan, wanted.parts, tell)
        _reckon_kits(run, plan, wanted, tell)
    except PlanningError as error:
        _end(run, Stage.FAILED, note=str(error))
    except Exception as error:
        _end(run, Stage.FAILED, note=f"Stopped by an error of the program ({type(error).__name__}).")
        raise
    alerting.look_over(timezone.now())
    return _fresh(run)


def _fresh(run: TargetRun) -> TargetRun:
    return TargetRun.objects.get(pk=run.pk)


def _reckon_parts(run: TargetRun, plan: Plan, in_kits: Collection[int], tell: Tell) -> None:
    """Each part by itself, in batches; those that kits need keep what an earlier run found for them."""
    while todo := _undone(run, plan):
        if not _in_transaction(run, Stage.PARTS, partial(_resize, plan=plan)):
            return
        for at in range(0, len(todo), BATCH):
            found = recommend([plan.parts[part] for part in todo[at : at + BATCH]], plan)
            if not _in_transaction(run, Stage.PARTS, partial(_write_batch, found=found, in_kits=in_kits)):
                return
            tell(at + len(found), len(todo), "parts")
    _in_transaction(run, Stage.PARTS, _now_kits)


def _undone(run: TargetRun, plan: Plan) -> list[int]:
    done = set(Target.objects.filter(run=run).order_by().values_list("part_id", flat=True))
    return [part for part in plan.parts if part not in done]


def _resize(run: TargetRun, plan: Plan) -> None:
    """There may be more or fewer parts than when it was stopped."""
    run.parts = run.parts_done + len(_undone(run, plan))
    run.save(update_fields=["parts"])


def _write_batch(run: TargetRun, found: Sequence[Recommended], in_kits: Collection[int]) -> None:
    run.parts_done += write(run, found, left_to_kits=in_kits)
    run.parts = max(run.parts, run.parts_done)
    run.save(update_fields=["parts", "parts_done"])


def _now_kits(run: TargetRun) -> None:
    run.stage = Stage.KITS
    run.save(update_fields=["stage"])


def _reckon_kits(run: TargetRun, plan: Plan, wanted: Wanted, tell: Tell) -> None:
    """All levels at once; reckoned without a lock, which takes a while, and written with one."""
    if _fresh(run).stage != Stage.KITS:
        return
    found = for_kits(run, plan, wanted, tell)
    _in_transaction(run, Stage.KITS, partial(_write_kits, found=found))


def _write_kits(run: TargetRun, found: KitsFound | None) -> None:
    if found is None:
        run.note = "No kit that is bought for was sold in two years: each part is reckoned by itself."
    else:
        write(run, found.targets)
        run.reached, run.tied_up = round(Decimal(found.reached), 4), found.tied_up
        run.frontier, run.note = [list(point) for point in found.frontier], found.note
    run.stage, run.ended_at = Stage.DONE, timezone.now()
    run.save()


def _end(run: TargetRun, stage: Stage, *, note: str) -> None:
    def ended(locked: TargetRun) -> None:
        locked.stage, locked.ended_at, locked.note = stage, timezone.now(), note[:LONGEST_NOTE]
        locked.save(update_fields=["stage", "ended_at", "note"])

    for open_stage in OPEN:
        _in_transaction(run, open_stage, ended)


def _in_transaction(run: TargetRun, stage: Stage, do: Callable[[TargetRun], None]) -> bool:
    """Do something to a run, locked, if it is at this stage; whether it was."""

    def once() -> bool:
        with transaction.atomic():
            locked = TargetRun.objects.select_for_update(of=("self",)).get(pk=run.pk)
            if locked.stage != stage:
                return False
            do(locked)
            return True

    return retrying(once)
