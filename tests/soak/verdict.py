"""Was anything oversold, lost or doubled? Holds logs, kept answers, model and ledger together.

Reads only, after all clients have ended.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import Any

from django.db.models import Count, F, Q, Sum
from django.utils import timezone

from inventory.checking import checks
from inventory.models import AuditEntry, Balance, Movement, Reservation, Stock, WalkStop
from shop.models import KeptAnswer

from .logs import Told
from .model import Impossible, Shop
from .premises import Premises
from .reading import read
from .replay import do, finish
from .steps import Reading, Step

FIRST = 20
AT_ONCE = 500


def verdict(shop: Shop, premises: Premises, logs: Sequence[Told]) -> list[str]:
    """What is wrong, in sentences, the first of each kind; an empty list when all is well.

    `shop` is the model of the shop before the first act.
    """
    wrong: list[str] = [fault for log in logs for fault in log.faults[:FIRST]]
    for found in (
        _answers(logs),
        _entries(),
        _replayed(shop, premises),
        _bounds(),
        (line for check in checks() for line in check.differences()),
    ):
        wrong += islice(found, FIRST)
    return wrong


def history() -> Iterator[Step]:
    """The acts in their serial order, whoever they were answered to, or to nobody at all."""
    numbered = KeptAnswer.objects.filter(key__startswith="soak-").values_list("pk", "body__audit")
    order = [pk for _, pk in sorted((audit[-1], pk) for pk, audit in numbered)]
    for start in range(0, len(order), AT_ONCE):
        rows: dict[int, Any] = KeptAnswer.objects.in_bulk(order[start : start + AT_ONCE])
        for pk in order[start : start + AT_ONCE]:
            yield Step.of(rows[pk].key, rows[pk].body)


def _answers(logs: Sequence[Told]) -> Iterator[str]:
    """Every answer that a client got is kept once, as it got it; a refused key is kept nowhere."""
    rows = KeptAnswer.objects.values_list("key", "body__audit")
    kept = {key: (audit or [None])[-1] for key, audit in rows}
    for key, times in Counter(key for key, _ in rows).items():
        if times > 1:
            yield f"{key} has {times} answers"
    for log in logs:
        for key, number in log.answers.items():
            if kept.get(key) != number:
                yield f"{key} was answered with act {number}, but {kept.get(key)} is kept"
        for key in log.refusals.keys() & kept.keys():
            yield f"{key} was refused with {log.refusals[key]}, but act {kept[key]} is kept"
    intended = {key for log in logs for key in log.intents}
    for key in sorted(kept.keys() - intended):
        yield f"{key} is kept, but nobody meant to ask for it"


def _entries() -> Iterator[str]:
    """Every act that was done belongs to one answer: none was done twice, or by halves."""
    named: Counter[int] = Counter()
    for audit in KeptAnswer.objects.values_list("body__audit", flat=True).iterator():
        named.update(audit)
    written = AuditEntry.objects.filter(user__username__startswith="client-")
    for pk, act in written.order_by("pk").values_list("pk", "act"):
        if named[pk] != 1:
            yield f"act {pk}, {act}, belongs to {named[pk]} answers"
        del named[pk]
    for pk in named:
        yield f"act {pk} was answered, but there is no such entry"


def _replayed(shop: Shop, premises: Premises) -> Iterator[str]:
    """The history is possible one act after the other, and leaves what the database has now."""
    try:
        for step in history():
            do(shop, step)
    except Impossible as error:
        yield f"the history breaks: {error}"
        return
    yield from finish(shop, Reading.of(read(premises.numbers)), timezone.now())
    mine = {pk: (kept.kind, kept.state, kept.until) for pk, kept in shop.reservations.items()}
    rows = Reservation.objects.values_list("pk", "kind", "state", "until")
    yield from _differ("reservation", mine, {pk: (kind, state, until) for pk, kind, state, until in rows})
    stops = {pk: (stop.quantity, stop.picked) for pk, stop in shop.stops.items()}
    kept_stops = WalkStop.objects.filter(reservation__state=Reservation.State.KEPT)
    yield from _differ(
        "stop",
        stops,
        {pk: (all_, picked) for pk, all_, picked in kept_stops.values_list("pk", "quantity", "picked")},
    )
    for what, act, by_model in (
        ("received", Movement.Act.RECEIVE, shop.received),
        ("picked", Movement.Act.PICK, shop.picked),
        ("shipped", Movement.Act.SHIP, shop.shipped),
    ):
        yield from _differ(what, {key: n for key, n in by_model.items() if n}, _moved(act))


def _moved(act: Movement.Act) -> dict[int, int]:
    rows = Movement.objects.filter(act=act).order_by().values_list("part_id")
    return dict(rows.annotate(Sum("quantity")))


def _differ(what: str, model: dict[int, Any], database: dict[int, Any]) -> Iterator[str]:
    for key in sorted(model.keys() | database.keys()):
        if model.get(key) != database.get(key):
            yield f"{what} {key}: model {model.get(key)}, database {database.get(key)}"


def _bounds() -> Iterable[str]:
    """What the database's own constraints say too; looked at once more, past them."""
    oversold = Stock.objects.filter(Q(on_hand__lt=F("held") + F("committed")) | Q(on_hand__lt=0))
    for stock in oversold:
        kept = stock.held + stock.committed
        yield f"part {stock.part_id} is oversold: {stock.on_hand} on hand, {kept} kept"
    for balance in Balance.objects.filter(Q(quantity__lt=0) | Q(allotted__gt=F("quantity"))):
        yield f"{balance.quantity} of part {balance.part_id} lie in place {balance.place_id}"
    doubled = Reservation.objects.exclude(reference="").values("reference").annotate(times=Count("pk"))
    for row in doubled.filter(times__gt=1):
        yield f"{row['times']} reservations for {row['reference']}"
