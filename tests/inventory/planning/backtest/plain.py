"""One part, day for day with lists: the oracle of the replay."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field


@dataclass
class Shop:
    """A shelf, deliveries under way and customers in a queue."""

    shelf: int = 0
    queue: int = 0
    under_way: list[tuple[int, int]] = field(default_factory=list)
    log: list[dict[str, int]] = field(default_factory=list)


def plain_replay(
    asked: list[float], *, levels: dict[int, tuple[int, int]], lead: list[int], review: int,
    warm_up: int, refresh: int, least_sales: int, waits: bool,
) -> list[dict[str, int]]:  # fmt: skip
    """What `replay` keeps, a dict for each period. `lead[t]` is what an order of period t takes."""
    shop, joined = Shop(), False
    reorder_at, up_to = 0, 0
    for now, demand in enumerate(asked):
        done = dict.fromkeys(("asked", "ordered", "opened", "arrived", "served", "late"), 0)
        reorder_at, up_to = levels.get(now, (reorder_at, up_to))
        on_sale = demand == demand
        known = [each for each in asked[:now] if each == each]
        look = now >= warm_up and (now - warm_up) % review == 0
        fresh = now >= warm_up and (now - warm_up) % refresh == 0
        if fresh and on_sale and not joined:
            joined = len(known) >= warm_up and sum(each > 0 for each in known) >= least_sales
            if joined:
                done["opened"] = shop.shelf = up_to
        keeps = joined and on_sale
        if look and keeps:
            position = shop.shelf - shop.queue + sum(pieces for _, pieces in shop.under_way)
            if position <= reorder_at and up_to > position:
                done["ordered"] = up_to - position
                shop.under_way.append((now + lead[now], up_to - position))
        done["arrived"] = sum(pieces for due, pieces in shop.under_way if due == now)
        shop.under_way = [each for each in shop.under_way if each[0] != now]
        shop.shelf += done["arrived"]
        done["late"] = min(shop.queue, shop.shelf)
        shop.shelf -= done["late"]
        shop.queue -= done["late"]
        customers = deque(range(int(demand) if keeps else 0))
        done["asked"] = len(customers)
        while customers:
            customers.popleft()
            if shop.shelf:
                shop.shelf -= 1
                done["served"] += 1
            elif waits:
                shop.queue += 1
        shop.log.append({**done, "on_hand": shop.shelf, "waiting": shop.queue})
    return shop.log
