"""PURE. What each kind of act does to the model, and when it was possible."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from datetime import datetime

from .model import Kept, Line, Shop, Stop, must
from .steps import FROM_STOCK, Step


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


def order(shop: Shop, step: Step) -> None:
    line, part = step.told["line"], step.args["part"]
    must(line not in shop.lines, f"line {line} is there already")
    shop.lines[line] = Line(part, step.args["quantity"])
    shop.open_lines.setdefault(part, set()).add(line)


def receive(shop: Shop, step: Step) -> None:
    part, quantity = step.args["part"], step.args["quantity"]
    must(step.args["line"] in shop.lines, f"there is no line {step.args['line']}")
    line = shop.lines[step.args["line"]]
    line.received += quantity
    must(line.received <= line.quantity, f"{line.received} of {line.quantity} came")
    if line.received == line.quantity:
        shop.open_lines[part].discard(step.args["line"])
    shop.bring(part, shop.homes[part], quantity)
    shop.received[part] += quantity


def close_short(shop: Shop, step: Step) -> None:
    """The line asks for no more than has come. Whom nothing else can serve ends, holds before commitments."""
    line = shop.lines[step.args["line"]]
    must(line.received < line.quantity, f"all {line.quantity} of the line have come")
    line.quantity = line.received
    shop.open_lines[line.part].discard(step.args["line"])
    for reservation in step.told["ended"]:
        shop.alive(reservation)
        must(line.part in shop.known(reservation).wants, f"{reservation} wants none of part {line.part}")
        shop.end(reservation, "released")


def walk(shop: Shop, step: Step) -> None:
    """Stops for all that the commitments keep, and all of it must be here."""
    stops: Counter[tuple[int, int]] = Counter()
    for stop, reservation, part, place, quantity in step.told["stops"]:
        stops[reservation, part] += quantity
        shop.stops[stop] = Stop(reservation, part, place, quantity)
        shop.known(reservation).stops.append(stop)
    wanted: Counter[tuple[int, int]] = Counter()
    for reservation in step.args["reservations"]:
        kept = shop.alive(reservation, "commitment")
        must(all(line == FROM_STOCK for _, line in kept.ties), f"reservation {reservation} still waits")
        wanted.update({(reservation, part): quantity for part, quantity in kept.wants.items()})
    must(stops == wanted, f"stops for {dict(stops)}, wanted {dict(wanted)}")


def pick(shop: Shop, step: Step) -> None:
    must(step.args["stop"] in shop.stops, "there is no such stop, or its pieces have left")
    stop = shop.stops[step.args["stop"]]
    stop.picked += step.args["quantity"]
    must(stop.picked <= stop.quantity, f"{stop.picked} of {stop.quantity} picked")
    shop.bring(stop.part, stop.place, -step.args["quantity"])
    shop.bring(stop.part, shop.bench, step.args["quantity"])
    shop.picked[stop.part] += step.args["quantity"]


def ship(shop: Shop, step: Step) -> None:
    kept = shop.alive(step.args["reservation"], "commitment")
    picked: Counter[int] = Counter()
    for stop in kept.stops:
        picked[shop.stops[stop].part] += shop.stops[stop].picked
    must(picked == kept.wants, f"picked {dict(picked)}, wanted {dict(kept.wants)}")
    shop.end(step.args["reservation"], "used")
    for part, quantity in kept.wants.items():
        shop.bring(part, shop.bench, -quantity)
    shop.shipped.update(kept.wants)


def count(shop: Shop, step: Step) -> None:
    """From now on there lies what was found, if the correction needed nobody else's word."""
    part, place = step.args["part"], step.args["place"]
    if step.told["posted"]:
        shop.bring(part, place, step.args["found"] - shop.bins[part, place])


def approve(shop: Shop, step: Step) -> None:
    """What a count asked for is posted now, as it was asked for then."""
    shop.bring(step.told["part"], step.told["place"], step.told["change"])


def put_away(shop: Shop, step: Step) -> None:
    part, quantity = step.args["part"], step.args["quantity"]
    shop.bring(part, step.args["origin"], -quantity)
    shop.bring(part, step.args["destination"], quantity)


def scrap(shop: Shop, step: Step) -> None:
    shop.bring(step.args["part"], step.args["place"], -step.args["quantity"])


def wants(step: Step) -> Counter[int]:
    return Counter(dict(step.args["wants"]))


def _shelf_first(shop: Shop, step: Step) -> None:
    """A new reservation waits for a delivery only for what the shelf does not have."""
    ties: Iterable[tuple[int, int]] = step.read.kept.get(step.told["reservation"], {})
    for part in {part for part, line in ties if line != FROM_STOCK}:
        here, held, committed = step.read.stock[part]
        must(here == held + committed, f"it waits for part {part} while some of it is free")


ACTS: Mapping[str, Callable[[Shop, Step], None]] = {
    one.__name__: one
    for one in (
        hold,
        commit,
        commit_before_holds,
        make_commitment,
        prolong,
        change,
        release,
        order,
        receive,
        close_short,
        walk,
        pick,
        ship,
        count,
        approve,
        put_away,
        scrap,
    )
}
