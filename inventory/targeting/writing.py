"""Writes what a run recommends: only what differs, never over a target that somebody set by hand."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from inventory.models import Target, TargetRun

from .recommended import Recommended

SetBy = Target.SetBy
_CHANGES = ["reorder_at", "up_to", "why", "set_by", "figures", "run"]


def write(run: TargetRun, found: Sequence[Recommended], *, left_to_kits: Collection[int] = ()) -> int:
    """Make these the targets, in the caller's transaction; returns for how many parts the run did it.

    A target by hand keeps its levels and its why, and is told what the run recommends. A target for whole
    kits of a part of `left_to_kits` stays as it is until the kits are reckoned, so that it does not jump to
    that of the part alone and back. What would be written as it is already only gets the number of the run.
    Locks the targets in part order. A target that somebody sets by hand in this very moment is left for the
    next look.
    """
    ids = [one.part_id for one in found]
    locked = Target.objects.select_for_update(of=("self",)).filter(part__in=ids).order_by("part_id")
    known = {target.part_id: target for target in locked}
    unmarked = set(ids) - {part for part, target in known.items() if target.run_id == run.pk}
    new, changed, same = [], [], []
    for one in found:
        target = known.get(one.part_id)
        if target is None:
            new.append(_new(one, run))
        elif target.set_by == SetBy.KITS and one.part_id in left_to_kits:
            same.append(target.pk)
        elif _put(target, one):
            changed.append(_copy(target, run))
        else:
            same.append(target.pk)
    # The rows are there and locked: each is its own conflict, and so updated, in few statements for all.
    Target.objects.bulk_create(
        changed, update_conflicts=True, unique_fields=["part"], update_fields=_CHANGES, batch_size=1000
    )
    Target.objects.bulk_create(new, ignore_conflicts=True, batch_size=1000)
    Target.objects.filter(pk__in=same).exclude(run=run).update(run=run)
    return Target.objects.filter(part__in=unmarked, run=run).count()


def _new(one: Recommended, run: TargetRun) -> Target:
    return Target(
        part_id=one.part_id,
        reorder_at=one.reorder_at,
        up_to=one.up_to,
        why=one.short_why,
        set_by=one.set_by,
        run=run,
        figures=one.told(),
    )


def _copy(target: Target, run: TargetRun) -> Target:
    """The same without its id: a row that conflicts by its part alone."""
    return Target(
        part_id=target.part_id,
        reorder_at=target.reorder_at,
        up_to=target.up_to,
        why=target.why,
        set_by=target.set_by,
        run=run,
        figures=target.figures,
    )


def _put(target: Target, one: Recommended) -> bool:
    """Set what the run finds on a target; whether anything is different now."""
    before = _told(target)
    if target.set_by == SetBy.HAND:
        recommended = {"reorder_at": one.reorder_at, "up_to": one.up_to}
        target.figures = {**one.told(), "recommended": recommended}
    else:
        target.reorder_at, target.up_to = one.levels
        target.why, target.set_by, target.figures = one.short_why, one.set_by, one.told()
    return _told(target) != before


def _told(target: Target) -> tuple[Any, ...]:
    return target.reorder_at, target.up_to, target.why, target.set_by, target.figures
