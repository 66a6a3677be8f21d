"""The sentences that several causes share."""

from datetime import date

from inventory.demand.rates import MONTHS
from inventory.models import Offer, PurchaseLine
from inventory.planning import lasts_until

from .sight import Position


def have(position: Position) -> str:
    return f"{position.free} free and {position.to_come} to come"


def pace(position: Position, today: date) -> str:
    if not position.rate:
        return f"Nothing was sold in the last {MONTHS} months"
    until = lasts_until(position.total, position.rate, today)
    return f"At {float(position.rate):.2g} a day it lasts " + (
        f"until {until:%-d %b}" if until else "more than a year"
    )


def source(offer: Offer | None) -> str:
    return f"{offer.supplier} takes {offer.days} days" if offer else "nobody offers it: find a supplier"


def late(line: PurchaseLine, on: date, today: date) -> str:
    """What is late of it, in words that stay the same from day to day until something happens."""
    named = f"{line.order} of {line.order.supplier}"
    if line.due < today:
        return f"{named} was due {line.due:%-d %b} and is overdue: ask when it comes"
    put_off = (
        f", put off from {line.first_due:%-d %b}" if line.first_due and line.first_due < line.due else ""
    )
    counted_on = "" if on == line.due else f", counted on for {on:%-d %b}"
    return f"{named} comes on {line.due:%-d %b}{put_off}{counted_on}"


def several(names: list[str], most: int = 4) -> str:
    """'S00012, S00013 and 2 more'."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return f"{', '.join(names[:most])}{more}"
