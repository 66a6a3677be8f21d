"""PURE. What is found otherwise than booked, at once or when a second person has agreed."""

from __future__ import annotations

from tests.soak.costs import average
from tests.soak.model import Shop
from tests.soak.steps import Step
from tests.soak.things import Asked, must


def count(shop: Shop, step: Step) -> None:
    """From now on there lies what was found, unless that is worth so much that it takes two people."""
    part, place = step.args["part"], step.args["place"]
    change = step.args["found"] - shop.bins[part, place]
    correction = step.told["correction"]
    must((correction is None) == (change == 0), f"correction {correction} for a change of {change}")
    if correction is not None:
        takes_two, posted = _takes_two(shop, part, abs(change)), step.told["posted"]
        must(takes_two in (None, not posted), f"posted at once: {posted}; takes two people: {takes_two}")
        _ask(shop, correction, Asked(part, place, change), posted)


def recount(shop: Shop, step: Step) -> None:
    """Believed, and as with any count then; or counted again by somebody else, and nothing changes."""
    part, place = step.args["part"], step.args["place"]
    change = step.args["found"] - shop.bins[part, place]
    if step.told["correction"] is not None:
        must(change != 0, "there was nothing to correct")
        _ask(shop, step.told["correction"], Asked(part, place, change), step.told["posted"])


def approve(shop: Shop, step: Step) -> None:
    """What a count asked for is posted now, as it was asked for then."""
    asked = _waiting(shop, step)
    asked.state = "posted"
    shop.correct(asked.part, asked.place, asked.change)


def refuse(shop: Shop, step: Step) -> None:
    """All stays as it is."""
    _waiting(shop, step).state = "refused"


def _takes_two(shop: Shop, part: int, pieces: int) -> bool | None:
    """By the average; None where there is none to go by."""
    here, limit = shop.on_hand(part), shop.catalogue.limit
    if limit is None or not here:
        return None
    return average(shop.worth[part], here, pieces) > limit


def _ask(shop: Shop, correction: int, asked: Asked, posted: bool) -> None:
    must(correction not in shop.asked, f"correction {correction} is there already")
    thing = asked.part, asked.place
    waiting = [one for one in shop.asked.values() if one.state == "asked" and (one.part, one.place) == thing]
    must(not waiting, f"one correction waits there already: {waiting}")
    shop.asked[correction] = asked
    if posted:
        asked.state = "posted"
        shop.correct(*thing, asked.change)


def _waiting(shop: Shop, step: Step) -> Asked:
    must(step.args["correction"] in shop.asked, "nobody asked for it")
    asked = shop.asked[step.args["correction"]]
    must(asked.state == "asked", f"it is {asked.state} already")
    return asked
