"""A sentence for the buyer on each part's level."""

from __future__ import annotations

from .asking import P
from .choosing import KitTargets, Why

# Fewer kits a year than this are none that a buyer would notice.
HARDLY = 0.05


def explain(targets: KitTargets[P], part: P, *, name: str | None = None, currency: str = "") -> str:
    """Why this many of the part, and what one more or one fewer would do. `currency` goes before amounts.

    Raises KeyError for a part that has no target.
    """
    why = targets.why[part]
    called = name if name is not None else str(part)
    if why.level == 0:
        first = (
            f"Keep no {called} in stock: {why.availability:.1%} of the kits that need it are served without."
        )
    else:
        first = (
            f"Keep {why.level} of {called}: {why.availability:.1%} of the kits that need it find it there."
        )
    return " ".join([first, _more(why, currency), _fewer(why, currency)]).rstrip()


def _more(why: Why, currency: str) -> str:
    if why.one_more_kits is None or why.one_more_cents is None:
        return "More would not help, or would not fit the shelf."
    money = _amount(why.one_more_cents, currency)
    return f"One more would complete {_kits(why.one_more_kits)} more a year, and tie up {money} more."


def _fewer(why: Why, currency: str) -> str:
    if why.one_fewer_kits is None or why.one_fewer_cents is None:
        return "Fewer are not allowed." if why.level else ""
    money = _amount(why.one_fewer_cents, currency)
    return f"One fewer would lose {_kits(why.one_fewer_kits)} a year, and free {money}."


def _kits(count: float) -> str:
    if count < HARDLY:
        return "hardly a kit"
    return "1.0 kit" if f"{count:.1f}" == "1.0" else f"{count:.1f} kits"


def _amount(cents: int, currency: str) -> str:
    return f"{currency}{cents // 100}.{cents % 100:02d}"
