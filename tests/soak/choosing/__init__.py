"""What a client wants to do next: arguments of an act, drawn from what it sees in the shop just then.

What it sees is read without a lock and may be gone when it acts; then it is refused, as at a counter.
"""

from __future__ import annotations

from collections.abc import Callable, Collection

from .counting import Counting
from .floor import Floor
from .goods import Goods
from .keeping import Keeping
from .looking import Args


class Chooser(Keeping, Goods, Floor, Counting):
    """One method for each kind of act; it returns None when there is nothing to do it with."""


# What happens often in a shop is drawn more often.
WEIGHTS = {
    "hold": 8,
    "commit": 4,
    "commit_before_holds": 1,
    "make_commitment": 5,
    "prolong": 2,
    "change": 3,
    "release": 2,
    "cancel": 1,
    "order": 4,
    "slip": 1,
    "receive": 6,
    "receive_over": 1,
    "receive_spoilt": 2,
    "close_short": 1,
    "report": 1,
    "settle": 2,
    "charge_late": 1,
    "walk": 8,
    "pick": 16,
    "put_back": 1,
    "not_there": 1,
    "give_up": 1,
    "ship": 8,
    "take_back": 2,
    "make_up": 1,
    "take_apart": 1,
    "put_away": 3,
    "scrap": 1,
    "count": 2,
    "recount": 3,
    "approve": 2,
    "refuse": 1,
}


# Some take two people, or what chance alone brings about.
UNSURE = {"approve", "refuse", "recount"}
DUTIES = [kind for kind in WEIGHTS if kind not in UNSURE]
RATHER = 15  # How much is added for what a client has not done yet, and should.


def choose(chooser: Chooser, rather: Collection[str] = ()) -> tuple[str, Args]:
    """A kind of act and its arguments, drawn until there is something to do it with."""
    weights = {kind: weight + RATHER * (kind in rather) for kind, weight in WEIGHTS.items()}
    while True:
        (kind,) = chooser.chance.choices(list(weights), list(weights.values()))
        method: Callable[[], Args | None] = getattr(chooser, kind)
        if args := method():
            return kind, args


def shared_out(clients: int) -> list[list[str]]:
    """The duties, shared out over so many clients."""
    return [DUTIES[client::clients] for client in range(clients)]
