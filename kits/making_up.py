"""Act of the catalogue desk: what goes into a made-up kit on the shelf, taken from a custom kit."""

from __future__ import annotations

from collections.abc import Iterable

from django.contrib.auth.models import User

from inventory.acting import ActError, Conflict, act
from inventory.ledger import lock_stock
from inventory.models import Makeup, Part
from kits.expanding import Expansion, expand, wants
from kits.fit import Verdict
from kits.models import CustomKit


@act("kits.keep_catalogue")
def makeup_from(user: User, part: Part, kit: CustomKit) -> list[Makeup]:  # noqa: ARG001  # who acts, by `act`
    """From now on `part` is made up of what this kit takes, in place of what it was made up of.

    A shelf holds parts and no work: a kit that needs shop work is refused, as is one that does not go
    together. Raises ActError "does-not-go", "needs-work", "nothing-wanted" or "made-of-itself", and Conflict
    while made-up pieces are on hand, which would come apart into other things than went in.
    """
    expansion = expand(kit)
    _check(kit, expansion)
    wanted = wants(expansion)
    if part.pk in _all_within(wanted):
        raise ActError(f"{part} would be made up of itself: swap it in {kit}.", code="made-of-itself")
    stock = lock_stock([part.pk])[part.pk]
    if stock.on_hand:
        raise Conflict(
            f"{stock.on_hand} x {part} are made up already, of what it says now. Sell them first, or take "
            "them apart."
        )
    part.makeup.all().delete()
    lines = [
        Makeup(part=part, component_id=part_id, quantity=quantity)
        for part_id, quantity in sorted(wanted.items())
    ]
    return Makeup.objects.bulk_create(lines)


def _check(kit: CustomKit, expansion: Expansion) -> None:
    if expansion.judgement.verdict == Verdict.DOES_NOT_GO:
        raise ActError(
            f"{kit} does not go together: {' '.join(expansion.judgement.reasons)} Swap what is named first.",
            code="does-not-go",
            reasons=expansion.judgement.reasons,
        )
    if expansion.works:
        said = "; ".join(work.text for work in expansion.works)
        raise ActError(
            f"{kit} needs shop work, which no shelf holds: {said} Choose parts that go without.",
            code="needs-work",
            works=[work.name for work in expansion.works],
        )
    if not expansion.lines:
        raise ActError(f"{kit} takes no part of ours: there is nothing to make up.", code="nothing-wanted")


def _all_within(part_ids: Iterable[int]) -> set[int]:
    """These parts and whatever they are made up of, all the way down."""
    found: set[int] = set()
    new = set(part_ids)
    while new:
        found |= new
        new = set(Makeup.objects.filter(part_id__in=new).values_list("component_id", flat=True)) - found
    return found
