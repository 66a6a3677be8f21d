"""PURE. What pickers do on their walks, and what leaves with it."""

from __future__ import annotations

from collections import Counter

from tests.soak.model import Shop
from tests.soak.steps import FROM_STOCK, Step
from tests.soak.things import Sold, Stop, must


def walk(shop: Shop, step: Step) -> None:
    """Stops for all that the commitments keep, and all of it must be here."""
    stops: Counter[tuple[int, int]] = Counter()
    for stop, reservation, part, place, quantity in step.told["stops"]:
        stops[reservation, part] += quantity
        _append(shop, stop, Stop(reservation, part, place, quantity, walk=step.told["walk"]))
    wanted: Counter[tuple[int, int]] = Counter()
    for reservation in step.args["reservations"]:
        kept = shop.alive(reservation, "commitment")
        must(all(line == FROM_STOCK for _, line in kept.ties), f"reservation {reservation} still waits")
        wanted.update({(reservation, part): quantity for part, quantity in kept.wants.items()})
    must(stops == wanted, f"stops for {dict(stops)}, wanted {dict(wanted)}")


def pick(shop: Shop, step: Step) -> None:
    _take(shop, shop.stop(step.args["stop"]), step.args["quantity"])


def put_back(shop: Shop, step: Step) -> None:
    """To be taken again from where they were."""
    stop, quantity = shop.stop(step.args["stop"]), step.args["quantity"]
    must(quantity <= stop.picked, f"{quantity} of {stop.picked} put back")
    stop.picked -= quantity
    shop.carry("put back", stop.part, shop.bench, stop.place, quantity)


def not_there(shop: Shop, step: Step) -> None:
    """What was found is taken. The rest comes from other bins, or the reservation leaves the walk."""
    stop = shop.stop(step.args["stop"])
    if step.args["found"]:
        _take(shop, stop, step.args["found"])
    missing = stop.quantity - stop.picked
    must(missing > 0, "nothing is missing")
    stop.quantity = stop.picked
    if not stop.quantity:
        shop.clear(step.args["stop"])
    instead = step.told["instead"]
    for other, place, quantity in instead:
        must(place != stop.place, "it was sought where it was missing")
        _append(shop, other, Stop(stop.reservation, stop.part, place, quantity, walk=stop.walk))
    must(not instead or sum(n for *_, n in instead) == missing, f"{instead} instead of {missing}")
    if not instead:
        _leave(shop, stop.reservation)


def give_up(shop: Shop, step: Step) -> None:
    stops = [key for key, stop in shop.stops.items() if stop.walk == step.args["walk"]]
    for stop in stops:
        shop.clear(stop)


def cancel(shop: Shop, step: Step) -> None:
    """It leaves its walk, and its parts are anybody's."""
    reservation = step.args["reservation"]
    shop.alive(reservation, "commitment")
    _leave(shop, reservation)
    shop.end(reservation, "released")


def ship(shop: Shop, step: Step) -> None:
    """All of it must be picked. What each stop took leaves at what it costs just then."""
    reservation = step.args["reservation"]
    kept = shop.alive(reservation, "commitment")
    picked: Counter[int] = Counter()
    for stop in kept.stops:
        picked[shop.stops[stop].part] += shop.stops[stop].picked
    must(picked == kept.wants, f"picked {dict(picked)}, wanted {dict(kept.wants)}")
    for stop in sorted(kept.stops):
        taken = shop.stops[stop]
        sold = shop.sold.setdefault((reservation, taken.part), Sold())
        sold.pieces += taken.picked
        sold.cost += shop.leave(taken.part, shop.bench, taken.picked)
        shop.count("ship", taken.part, taken.picked)
    shop.end(reservation, "used")


def _append(shop: Shop, key: int, stop: Stop) -> None:
    must(key not in shop.stops, f"stop {key} is there already")
    shop.stops[key] = stop
    shop.known(stop.reservation).stops.append(key)


def _take(shop: Shop, stop: Stop, quantity: int) -> None:
    stop.picked += quantity
    must(stop.picked <= stop.quantity, f"{stop.picked} of {stop.quantity} picked")
    shop.carry("pick", stop.part, stop.place, shop.bench, quantity)


def _leave(shop: Shop, reservation: int) -> None:
    for stop in list(shop.known(reservation).stops):
        shop.clear(stop)
