"""How many of a made-up part could be made up from the bins now, and which component sets the limit."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import F, Sum

from .allotting import to_take
from .models import Makeup, Part
from .promising import free


@dataclass(frozen=True)
class Component:
    """One component: how many go into one piece, are kept for nobody, and lie in the bins for no walk."""

    part: Part
    quantity: int
    free: int
    in_bins: int

    @property
    def enough_for(self) -> int:
        """Whole pieces of the made-up part."""
        return min(self.free, self.in_bins) // self.quantity


@dataclass(frozen=True)
class Makeable:
    """`most` can be made up now; the `scarcest` components are enough for so many and no more."""

    components: Sequence[Component]

    @property
    def most(self) -> int:
        return min((one.enough_for for one in self.components), default=0)

    @property
    def scarcest(self) -> list[Component]:
        return [one for one in self.components if one.enough_for == self.most]


def makeable(part: Part, now: datetime) -> Makeable:
    """The components of one piece of this part, in part order; none of a part that is not made up here."""
    lines = list(Makeup.objects.filter(part=part).select_related("component__maker").order_by("component_id"))
    ids = [line.component_id for line in lines]
    sums = to_take(ids).order_by().values("part")
    lying = dict(sums.annotate(n=Sum(F("quantity") - F("allotted"))).values_list("part", "n"))
    here = free(ids, now)
    return Makeable(
        [
            Component(line.component, line.quantity, here[line.component_id], lying.get(line.component_id, 0))
            for line in lines
        ]
    )
