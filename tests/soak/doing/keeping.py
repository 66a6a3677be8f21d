"""PURE. What the acts that keep stock for somebody do to the model, and when they were possible."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import datetime

from tests.soak.model import Shop
from tests.soak.steps import FROM_STOCK, Step
from tests.soak.things import Kept, must


def hold(shop: Shop, step: Step) -> None:
    until = datetime.fromisoformat(step.args["until"])
    shop.keep(step.told["reservation"], Kept("hold", until, wants(step)))
    _shelf_first(shop, step)


def commit(shop: Shop, step: Step) -> None:
    shop.keep(step.told["reservation"], Kept("commitment", None, wants(step)))
    _shelf_first(shop, step)


def commit_before_holds(shop: Shop, step: Step) -> None:
    """Holds that are in the way end whole."""
    for reservation in step.told["gave_way"]:
        shop.alive(reservation, "hold")
        shop.end(reservation, "gave way")
    commit(shop, step)


def make_commitment(shop: Shop, step: Step) -> None:
    kept = shop.alive(step.args["reservation"], "hold")
    must(kept.until is not None and kept.until > step.began, f"the hold was over at {kept.until}")
    kept.kind, kept.until = "commitment", None


def prolong(shop: Shop, step: Step) -> None:
    kept = shop.alive(step.args["reservation"], "hold")
    must(kept.until is not None and kept.until > step.began, f"the hold was over at {kept.until}")
    kept.until = datetime.fromisoformat(step.args["until"])


def change(shop: Shop, step: Step) -> None:
    kept = shop.alive(step.args["reservation"])
    must(kept.until is None or kept.until > step.began, f"the hold was over at {kept.until}")
    must(not kept.stops, "it is on a walk")
    shop.want(step.args["reservation"], wants(step))


def release(shop: Shop, step: Step) -> None:
    """One that has ended before is answered as it is; its time may have come within this very act."""
    reservation, state = step.args["reservation"], step.told["state"]
    kept = shop.known(reservation)
    if kept.state == "kept":
        must(not kept.stops, "it is on a walk")
        over = kept.until is not None and kept.until <= step.ended
        must(state == "released" or (state == "lapsed" and over), f"it was said to be {state}")
        shop.end(reservation, state)
    must(kept.state == state, f"reservation {reservation} is {kept.state}, it was said to be {state}")


def wants(step: Step) -> Counter[int]:
    return Counter(dict(step.args["wants"]))


def _shelf_first(shop: Shop, step: Step) -> None:
    """A new reservation waits for a delivery only for what the shelf does not have."""
    ties: Iterable[tuple[int, int]] = step.read.kept.get(step.told["reservation"], {})
    for part in {part for part, line in ties if line != FROM_STOCK}:
        here, held, committed = step.read.stock[part]
        must(here == held + committed, f"it waits for part {part} while some of it is free")
