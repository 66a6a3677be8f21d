"""PURE. What each kind of act does to the model, and when it was possible.

Each returns the parts of which everything that waits may have been tied anew, if there are any.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from tests.soak.model import Shop
from tests.soak.steps import Step

from . import counting, floor, goods, keeping, walks

ACTS: Mapping[str, Callable[[Shop, Step], set[int] | None]] = {
    "hold": keeping.hold,
    "commit": keeping.commit,
    "commit_before_holds": keeping.commit_before_holds,
    "make_commitment": keeping.make_commitment,
    "prolong": keeping.prolong,
    "change": keeping.change,
    "release": keeping.release,
    "cancel": walks.cancel,
    "order": goods.order,
    "slip": goods.slip,
    "receive": goods.receive,
    "receive_over": goods.receive,
    "receive_spoilt": goods.receive,
    "close_short": goods.close_short,
    "report": goods.report,
    "settle": goods.settle,
    "charge_late": goods.charge_late,
    "walk": walks.walk,
    "pick": walks.pick,
    "put_back": walks.put_back,
    "not_there": walks.not_there,
    "give_up": walks.give_up,
    "ship": walks.ship,
    "take_back": floor.take_back,
    "make_up": floor.make_up,
    "take_apart": floor.take_apart,
    "put_away": floor.put_away,
    "scrap": floor.scrap,
    "count": counting.count,
    "recount": counting.recount,
    "approve": counting.approve,
    "refuse": counting.refuse,
}
