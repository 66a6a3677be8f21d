"""For whom pieces of a part are kept: the quotes and orders behind its holds and commitments."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from inventory.keepers import keepers
from inventory.models import Part, ReservationLine
from shop.models import Customer, Order, Quote


@dataclass(frozen=True)
class KeptFor:
    """A line that keeps pieces, and the paper that it is kept for; no paper where a clerk kept it by hand."""

    line: ReservationLine
    paper: Order | Quote | None

    @property
    def order(self) -> Order | None:
        return self.paper if isinstance(self.paper, Order) else None

    @property
    def quote(self) -> Quote | None:
        return self.paper if isinstance(self.paper, Quote) else None

    @property
    def customer(self) -> Customer | None:
        return self.paper.customer if self.paper else None


def kept_for(part: Part, now: datetime) -> list[KeptFor]:
    """Everybody for whom pieces of it are kept now, orders before quotes and the oldest first."""
    lines = keepers(part, now)
    ids = {line.reservation_id for line in lines}
    papers: dict[int | None, Order | Quote] = {}
    # An accepted quote's reservation is its order's: the order, read last, stands.
    for model in (Quote, Order):
        for paper in model._default_manager.filter(reservation_id__in=ids).select_related("customer"):
            papers[paper.reservation_id] = paper
    return [KeptFor(line, papers.get(line.reservation_id)) for line in lines]
