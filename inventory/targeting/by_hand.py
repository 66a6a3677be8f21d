"""Targets that people set: no run changes them, until they are left to the runs again."""

from __future__ import annotations

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import alerting
from inventory.acting import ActError, Conflict, act
from inventory.models import Part, Target

SetBy = Target.SetBy
LEFT = "Left to the runs: the next one reckons it."


@act("inventory.buy")
def set_by_hand(
    _user: User, part: Part, *, reorder_at: int, up_to: int, most: int | None = None, why: str
) -> Target:
    """Order at `reorder_at` up to `up_to`, whatever runs recommend; both 0 for a part not to be bought.

    `most` is what the shelf takes, None for no limit. ActError "no-level", "no-room" or "reason-needed".
    """
    why = why.strip()
    _check(reorder_at, up_to, most, why)
    # Without the row there is nothing to lock: whoever comes second finds it made.
    Target.objects.bulk_create(
        [Target(part=part, reorder_at=reorder_at, up_to=up_to, why=why)], ignore_conflicts=True
    )
    target = Target.objects.select_for_update(of=("self",)).get(part=part)
    if target.set_by != SetBy.HAND:
        recommended = {"reorder_at": target.reorder_at, "up_to": target.up_to}
        target.figures = {**target.figures, "recommended": recommended}
    target.reorder_at, target.up_to, target.most = reorder_at, up_to, most
    target.why, target.set_by = why, SetBy.HAND
    target.save()
    alerting.look_again([part.pk], timezone.now())
    return target


def _check(reorder_at: int, up_to: int, most: int | None, why: str) -> None:
    if min(reorder_at, up_to, most or 0) < 0:
        raise ActError("A level is a whole number of at least 0.", code="no-level")
    if up_to <= reorder_at and (up_to or reorder_at):
        raise ActError(
            f"Ordering at {reorder_at} up to {up_to} orders nothing: order up to more than that, or give 0 "
            "for both so that the part is not bought any more.",
            code="no-level",
        )
    if most is not None and up_to > most:
        raise ActError(
            f"The shelf takes {most} and it is to be filled up to {up_to}: lower one or raise the other.",
            code="no-room",
        )
    if not why:
        raise ActError("Say why, for whoever finds this target in a year's time.", code="reason-needed")
    longest = Target._meta.get_field("why").max_length
    if longest is not None and len(why) > longest:
        raise ActError(f"The reason has {len(why)} characters: {longest} are the most.", code="reason-needed")


@act("inventory.buy")
def leave_to_runs(_user: User, target: Target) -> Target:
    """From now on runs set it; the levels stay as they are until the next one. Raises Conflict."""
    target = Target.objects.select_for_update(of=("self",)).get(pk=target.pk)
    if target.set_by != SetBy.HAND:
        raise Conflict("Runs set this target already: the next one reckons it anew.")
    if target.run_id is None:
        raise Conflict(
            "No run has reckoned this part yet: have the targets reckoned once, then leave it to them."
        )
    target.set_by, target.why = SetBy.PART, LEFT
    target.figures = {key: value for key, value in target.figures.items() if key != "recommended"}
    target.save(update_fields=["set_by", "why", "figures"])
    return target
