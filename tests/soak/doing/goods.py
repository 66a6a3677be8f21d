"""PURE. What is ordered, comes, comes otherwise than ordered, or will not come."""

from __future__ import annotations

from tests.soak.costs import average, steps
from tests.soak.model import Shop
from tests.soak.steps import Step
from tests.soak.things import Kept, Line, must


def order(shop: Shop, step: Step) -> set[int]:
    line, part, quantity = step.told["line"], step.args["part"], step.args["quantity"]
    must(line not in shop.lines, f"line {line} is there already")
    shop.lines[line] = Line(part, quantity, ordered=quantity, due=step.told["due"])
    shop.open_lines.setdefault(part, set()).add(line)
    return {part}


def slip(shop: Shop, step: Step) -> set[int]:
    line = shop.line(step.args["line"])
    must(line.received < line.quantity, f"all {line.quantity} of the line have come")
    line.due = step.args["due"]
    return {line.part}


def receive(shop: Shop, step: Step) -> set[int] | None:
    """What is good comes in at its price and the charges; what is too much must have been kept knowingly.

    Spoilt pieces never come in. They stay owed, or the line brings so many fewer, if it owes them.
    """
    line = shop.line(step.args["line"])
    good, spoilt = step.args["quantity"], step.args.get("spoilt", 0)
    noted: dict[str, int] = dict(step.told["noted"])
    too_many = line.received + good - line.quantity
    if too_many > 0:
        must(step.args.get("keep_over", False), f"{line.received + good} of {line.quantity} came")
        line.quantity += too_many
        shop.note(_told(noted, "over"), step.args["line"], "over", too_many)
    line.received += good
    if good:
        cost = shop.price(line.part) * good + steps(step.args.get("charges", "0"))
        shop.come(line.part, shop.homes[line.part], good, cost)
        shop.count("receive", line.part, good)
        shop.receipts[step.told["receipt"]] = (line.part, good)
    anew = None
    if spoilt:
        shop.note(_told(noted, "spoilt"), step.args["line"], "spoilt", spoilt)
        fewer = min(spoilt, line.quantity - line.received) if step.args["not_owed"] else 0
        anew = _bring_less(shop, step, line, fewer) if fewer else None
    must(not noted, f"there was nothing to note as {noted}")
    must(anew is not None or not step.told["ended"], f"{step.told['ended']} ended for nothing")
    _close_if_all_is_here(shop, step.args["line"])
    return anew


def close_short(shop: Shop, step: Step) -> set[int]:
    """The line asks for no more than has come."""
    line = shop.line(step.args["line"])
    missing = line.quantity - line.received
    must(missing > 0, f"all {line.quantity} of the line have come")
    noted: dict[str, int] = dict(step.told["noted"])
    shop.note(_told(noted, "short"), step.args["line"], "short", missing)
    anew = _bring_less(shop, step, line, missing)
    _close_if_all_is_here(shop, step.args["line"])
    return anew


def report(shop: Shop, step: Step) -> None:
    """Something else came instead: it is not booked in, and the line stays as it is."""
    shop.line(step.args["line"])
    shop.note(_told(dict(step.told["noted"]), "other"), step.args["line"], "other", step.args["quantity"])


def settle(shop: Shop, step: Step) -> None:
    must(step.args["difference"] in shop.noted, "there is no such difference")
    noted = shop.noted[step.args["difference"]]
    must(not noted.settled, "it was settled already")
    noted.settled = True


def charge_late(shop: Shop, step: Step) -> None:
    """As many of the delivery as can still be here bear their share of it; the rest is spent."""
    must(step.args["receipt"] in shop.receipts, "nothing came in with it")
    part, came = shop.receipts[step.args["receipt"]]
    amount = steps(step.args["amount"])
    absorbed = average(amount, came, min(came, shop.on_hand(part)))
    shop.worth[part] += absorbed
    (charge,) = step.told["charges"]
    must(charge not in shop.charges, f"charge {charge} is there already")
    shop.charges[charge] = (absorbed, amount - absorbed)


def _told(noted: dict[str, int], kind: str) -> int:
    must(kind in noted, f"no difference was noted that is {kind}")
    return noted.pop(kind)


def _close_if_all_is_here(shop: Shop, line: int) -> None:
    if shop.lines[line].received == shop.lines[line].quantity:
        shop.open_lines[shop.lines[line].part].discard(line)


def _bring_less(shop: Shop, step: Step, line: Line, fewer: int) -> set[int]:
    """So many will not come. None ends that need not, and no commitment where holds are enough."""
    part, ended = line.part, [shop.alive(one) for one in step.told["ended"]]
    short = fewer - shop.unspoken(part)
    freed = [kept.wants[part] for kept in ended]
    must(sum(freed) >= short, f"{ended} ended, but {short} are short")
    for pieces in freed:
        must(sum(freed) - pieces < short, f"one of {ended} ended for nothing: only {short} were short")
    if any(kept.kind == "commitment" for kept in ended):
        waiting = [shop.reservations[one] for one in shop.live.get(part, ())]
        holds = [kept.wants[part] for kept in waiting if kept.kind == "hold" and _waits_for(kept, part)]
        must(sum(holds) < short, f"a commitment ended, though holds wait for {holds} and {short} were short")
    for reservation in step.told["ended"]:
        shop.end(reservation, "released")
    line.quantity -= fewer
    return {part}


def _waits_for(kept: Kept, part: int) -> bool:
    return any(what == part and line for what, line in kept.ties)
