"""PURE. What is carried, thrown away, made up, taken apart and taken back."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

from tests.soak.costs import average, shares
from tests.soak.model import Shop
from tests.soak.steps import Step
from tests.soak.things import must


def put_away(shop: Shop, step: Step) -> None:
    part, quantity = step.args["part"], step.args["quantity"]
    shop.bring(part, step.args["origin"], -quantity)
    shop.bring(part, step.args["destination"], quantity)


def scrap(shop: Shop, step: Step) -> None:
    shop.leave(step.args["part"], step.args["place"], step.args["quantity"])
    shop.count("scrap", step.args["part"], step.args["quantity"])


def take_back(shop: Shop, step: Step) -> None:
    """What left comes back at what it cost then, to where deliveries end up; what is spoilt comes nowhere."""
    part, quantity = step.args["part"], step.args["quantity"]
    key = step.args["reservation"], part
    must(key in shop.sold, f"no part {part} left with {key}")
    sold = shop.sold[key]
    before = average(sold.cost, sold.pieces, sold.back)
    sold.back += quantity
    must(sold.back <= sold.pieces, f"{sold.back} of {sold.pieces} came back")
    if step.args["good"]:
        cost = average(sold.cost, sold.pieces, sold.back) - before
        shop.come(part, shop.homes[part], quantity, cost)
    shop.count("return", part, quantity)


def make_up(shop: Shop, step: Step) -> None:
    """Its components leave the bins that gave them; it costs what they cost, and the work."""
    part, quantity, cost = step.args["part"], step.args["quantity"], step.args["work_cost"]
    went: Counter[int] = Counter()
    for component, place, pieces in step.told["went"]:
        went[component] += pieces
        cost += shop.leave(component, place, pieces)
    _of_its_makeup(shop, part, quantity, went)
    shop.come(part, step.args["place"], quantity, cost)


def take_apart(shop: Shop, step: Step) -> None:
    """Its components come out of it, and share what it cost by what they are worth now."""
    part, quantity = step.args["part"], step.args["quantity"]
    came = Counter(dict(step.told["came"]))
    _of_its_makeup(shop, part, quantity, came)
    cost = shop.leave(part, step.args["place"], quantity)
    weights = [_worth_of(shop, component, pieces) for component, pieces in sorted(came.items())]
    weights = weights if any(weights) else [Fraction(pieces) for _, pieces in sorted(came.items())]
    for (component, pieces), share in zip(sorted(came.items()), shares(cost, weights), strict=True):
        shop.come(component, step.args["to_place"], pieces, share)


def _of_its_makeup(shop: Shop, part: int, quantity: int, components: Counter[int]) -> None:
    wanted = {one: each * quantity for one, each in shop.catalogue.makeup[part].items()}
    must(components == wanted, f"components {dict(components)}, wanted {wanted}")


def _worth_of(shop: Shop, part: int, pieces: int) -> Fraction:
    here = shop.on_hand(part)
    each = Fraction(shop.worth[part], here) if here else Fraction(shop.price(part))
    return each * pieces
