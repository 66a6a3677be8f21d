"""Which parts are bought, from whom and on which terms: read for all parts in four statements."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from django.db.models import Exists, OuterRef, Q
from django.db.models.functions import Coalesce

from inventory.demand.reading import superseded
from inventory.models import Offer, Part, PriceBreak, Supersession, Target
from inventory.planning.demand import last_successors

Standing = Part.Standing


class Fate(StrEnum):
    """What becomes of a part."""

    GOES_ON = "goes on"
    RUNS_OUT = "runs out"
    SUPERSEDED = "superseded"
    ENDED = "ended"


@dataclass(frozen=True)
class Terms:
    """The best offer: the cheapest one, of equally cheap ones the quickest. `breaks` are (from, price)."""

    supplier_id: int
    supplier: str
    price: Decimal
    pack: int
    least: int
    review_days: int
    breaks: tuple[tuple[int, Decimal], ...] = ()


@dataclass(frozen=True)
class Bought:
    """A part that a run reckons. `terms` is None where nobody offers it any more."""

    part_id: int
    number: str
    fate: Fate
    terms: Terms | None
    successor: str = ""
    most: int | None = None


def bought(today: date) -> dict[int, Bought]:
    """By part, in their order, all that a run has to reckon.

    That is what somebody offers and the shop still sells. And what is no longer sold, runs out or is
    superseded, but has a target of an earlier run: that must not go on asking for more, offered or not.
    """
    terms = _terms()
    offered = Exists(Offer.objects.filter(part=OuterRef("pk")))
    reckoned = Q(target__isnull=False) & ~Q(target__set_by=Target.SetBy.HAND)
    sold = Q(standing__in=[Standing.CURRENT, Standing.RUN_OUT])
    superseded_by_now = Exists(Supersession.objects.filter(old=OuterRef("pk"), since__lte=today))
    goes = Q(standing__in=[Standing.ENDED, Standing.RUN_OUT]) | Q(superseded_by_now)
    parts = Part.objects.filter((sold & Q(offered)) | (goes & reckoned))
    heirs = _heirs(today)
    rows = parts.order_by("pk").values_list("pk", "number", "standing", "target__most")
    return {
        part: Bought(part, number, _fate(standing, part in heirs), terms.get(part), heirs.get(part, ""), most)
        for part, number, standing, most in rows
    }


def _fate(standing: str, has_heir: bool) -> Fate:
    if standing == Standing.ENDED:
        return Fate.ENDED
    if has_heir:
        return Fate.SUPERSEDED
    return Fate.RUNS_OUT if standing == Standing.RUN_OUT else Fate.GOES_ON


def _heirs(today: date) -> Mapping[int, str]:
    """By superseded part the number of the last of its line: that is the one to buy."""
    ends = last_successors(superseded(today))
    numbers = dict(Part.objects.filter(pk__in=set(ends.values())).order_by().values_list("pk", "number"))
    return {old: numbers[end] for old, end in ends.items()}


def _terms() -> dict[int, Terms]:
    """The best offer of every part, by the order that `promising.best_offers` has."""
    breaks: dict[int, list[tuple[int, Decimal]]] = defaultdict(list)
    for offer, at_least, price in PriceBreak.objects.order_by("offer", "at_least").values_list(
        "offer", "at_least", "price"
    ):
        breaks[offer].append((at_least, price))
    offers = Offer.objects.order_by("part", "price", Coalesce("lead_days", "supplier__lead_days"), "pk")
    best: dict[int, Terms] = {}
    for pk, part, supplier, name, price, pack, least, review_days in offers.values_list(
        "pk", "part", "supplier", "supplier__name", "price", "pack", "least", "supplier__review_days"
    ):
        if part not in best:
            best[part] = Terms(supplier, name, price, pack, least, review_days, tuple(breaks[pk]))
    return best
