"""PURE. A history of acts, done again one after the other on the model.

Why the audit ids give a serial order. Every act locks the Stock rows of all its parts before it reads or
changes anything of them, keeps the locks until its transaction ends, and writes its audit entry after
that: `inventory.acting.act` records when the act has run. Of two acts that share a part, the second
therefore locks after the first has ended, and takes its audit id from the sequence after the first took
its own. Acts that share no part may stand in either order. An act inside another writes an entry of its
own, earlier; the last of an act's ids is the one that counts. Holds that end by the clock are tidied up
without an entry, by the sweeper or within the next act on one of their parts: they end in the model just
before the first act that reads one of their parts without them, and only if their time was over by then.

Which delivery a piece is tied to is the shop's choice, within bounds: the model takes it from what was
read, after it has seen that it was possible and that nobody else's ties moved that had no reason to.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import datetime

from .doing import ACTS
from .model import Impossible, Shop, must
from .steps import FROM_STOCK, Reading, Step, Tie


def do(shop: Shop, step: Step) -> None:
    """Do the act again, which must then read what it read. Raises Impossible, with the act in its message."""
    try:
        must(step.kind in ACTS, "nobody told the model of this kind of act")
        told = step.told
        ends = {step.args.get("reservation"), *told.get("gave_way", []), *told.get("ended", [])}
        _end_what_is_over(shop, step.read, step.ended, except_for=ends)
        ACTS[step.kind](shop, step)
        _take_ties(shop, step)
        shop.stay_within_bounds(step.read.parts)
        differ = shop.reading(step.read.parts).differences(step.read, "model", "read")
        must(not differ, "; ".join(differ[:5]))
    except Impossible as error:
        raise Impossible(f"{step}: {error}") from None


def finish(shop: Shop, read: Reading, now: datetime) -> list[str]:
    """What the database at the end differs in from the model, holds that ended by the clock apart."""
    try:
        _end_what_is_over(shop, read, now, except_for=set())
        shop.stay_within_bounds(read.parts)
    except Impossible as error:
        return [str(error)]
    return shop.reading(read.parts).differences(read, "model", "database")


def _end_what_is_over(shop: Shop, read: Reading, now: datetime, *, except_for: set[int | None]) -> None:
    for part in read.parts:
        for reservation in shop.live.get(part, set()) - read.kept.keys() - except_for:
            kept = shop.reservations[reservation]
            over = kept.kind == "hold" and kept.until is not None and kept.until <= now
            must(over, f"the {kept.kind} {reservation} until {kept.until} is gone")
            shop.end(reservation, "lapsed")


def _take_ties(shop: Shop, step: Step) -> None:
    """Tie what is kept as it was read: whole, and nothing of others moved but what a delivery brought."""
    own = step.told.get("reservation", step.args.get("reservation"))
    moved: Counter[Tie] = Counter()
    to_stock: set[str] = set()  # The kinds of reservation whose pieces came.
    for part in step.read.parts:
        for reservation in shop.live.get(part, ()):
            kept = shop.reservations[reservation]
            read = {tie: n for tie, n in step.read.kept.get(reservation, {}).items() if tie[0] == part}
            must(
                sum(read.values()) == kept.wants[part],
                f"reservation {reservation} keeps {sum(read.values())} of part {part}, "
                f"and should keep {kept.wants[part]}",
            )
            before = {tie: n for tie, n in kept.ties.items() if tie[0] == part}
            if reservation != own and before != read:
                to_stock.add(kept.kind)
                moved.update(before)
                moved.subtract(read)
            kept.ties = {tie: n for tie, n in kept.ties.items() if tie[0] != part} | read
    _only_what_came(shop, step, {tie: n for tie, n in moved.items() if n}, to_stock)


def _only_what_came(shop: Shop, step: Step, moved: Mapping[Tie, int], kinds: set[str]) -> None:
    """Of others, only pieces that a delivery brought move: from its line to stock, commitments first.

    An order sent, and one of which the rest will not come, tie all anew that waits for the part.
    """
    if not kinds:
        return
    must(step.kind in ("receive", "order", "close_short"), f"ties of others moved: {dict(moved)}")
    part = step.args["part"]
    if step.kind != "receive":
        _tied_anew(step, part, moved)
        return
    line, quantity = step.args["line"], step.args["quantity"]
    came = moved.get((part, line), 0)
    must(
        0 < came <= quantity and moved == {(part, line): came, (part, FROM_STOCK): -came},
        f"{quantity} came, but ties of others moved: {dict(moved)}",
    )
    waiting = {shop.reservations[one].kind for one in shop.live[part] if _waits(shop, one, (part, line))}
    must("hold" not in kinds or "commitment" not in waiting, "a hold was served before a commitment")


def _tied_anew(step: Step, part: int, moved: Mapping[Tie, int]) -> None:
    """Nothing leaves the shelf by it, and nobody waits for what lies free there."""
    must(all(tie[0] == part for tie in moved), f"ties of other parts moved: {dict(moved)}")
    must(sum(moved.values()) == 0 and moved.get((part, FROM_STOCK), 0) <= 0, f"ties moved: {dict(moved)}")
    here, held, committed = step.read.stock[part]
    waits = any(line != FROM_STOCK for ties in step.read.kept.values() for what, line in ties if what == part)
    must(here == held + committed or not waits, f"some of part {part} is free, and somebody waits for it")


def _waits(shop: Shop, reservation: int, tie: Tie) -> bool:
    return tie in shop.reservations[reservation].ties
