"""Act of the counter on a quote: swap what fills one slot, and keep the parts of the new wish at once.

A quote keeps its prices and verdicts for ever, so the swap makes another quote that replaces it. The
swapped kit is a copy, priced and judged as of now; the other kits go over as they were offered.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import reserving
from inventory.acting import ActError, Conflict, act
from kits.copying import copy_kit
from kits.customising import swap
from kits.models import CustomKit

from .models import Quote, QuoteKit, QuoteLine
from .offering import as_now, new_quote, write_down
from .picturing import fills_of
from .quoting import live_hold, locked_open
from .wants import wants_of


@act("shop.sell")
def swap_on_quote(
    user: User,
    quote: Quote,
    quote_kit: QuoteKit,
    slot_code: str,
    key: str,
    *,
    own: Mapping[str, str] | None = None,
    agreed: str = "",
) -> Quote:
    """Fill one slot of a quoted kit otherwise; returns the quote that replaces this one.

    Same customer, channel, validity and day wanted. A live hold passes to it for exactly the new parts: what
    is wanted no more is free at once, and if anything is short all is as it was (`reserving.Short`).
    `key`, `own` and `agreed` are as in kits.customising.swap.
    """
    now = timezone.now()
    old = locked_open(quote, now)
    kits = list(old.kits.select_related("kit").prefetch_related("lines"))
    swapped = next((one for one in kits if one.pk == quote_kit.pk), None)
    if swapped is None:
        raise ActError(f"{old} has no such kit: choose one of its own.", code="no-such-kit")
    _refuse_if_changed(swapped)
    kit = swap(user, copy_kit(user, swapped.kit), slot_code, key, own=own, agreed=agreed)
    [(kit, quantity, expansion)] = as_now([(kit, swapped.quantity)])
    new = new_quote(
        user,
        old.customer,
        [(one.quantity, expansion if one is swapped else one) for one in kits],
        channel=old.channel,
        valid_until=old.valid_until,
        wanted_on=old.wanted_on,
        replaces=old,
    )
    for one in kits:
        if one is swapped:
            write_down(new, kit, quantity, expansion)
        else:
            _carry_over(new, one)
    _replace(user, old, new, now)
    return new


def as_quoted(quoted: QuoteKit) -> bool:
    """Whether its kit is filled today as it was when it was quoted."""
    return _plain(quoted.record["fills"]) == _plain(fills_of(quoted.kit))


def _refuse_if_changed(quoted: QuoteKit) -> None:
    CustomKit.objects.select_for_update(of=("self",)).get(pk=quoted.kit_id)
    if not as_quoted(quoted):
        raise Conflict(
            f"{quoted.kit.number} was swapped after {quoted.quote} was made, so the quote is no longer about "
            "it: quote the kit again.",
            code="kit-changed",
            kit=quoted.kit.number,
        )


def _plain(fills: list[dict[str, Any]]) -> list[tuple[Any, ...]]:
    """What the fills hold, without the words around it."""
    return [
        (
            fill["slot"],
            fill["how"],
            sorted((part["number"], part["quantity"]) for part in fill["parts"]),
            fill["own"],
        )
        for fill in fills
    ]


def _carry_over(new: Quote, quoted: QuoteKit) -> None:
    """The kit goes over as it was offered: price, verdict, record and lines."""
    lines = list(quoted.lines.all())
    kit = QuoteKit.objects.create(
        quote=new,
        kit=quoted.kit,
        revision_id=quoted.revision_id,
        title=quoted.title,
        quantity=quoted.quantity,
        standard_price=quoted.standard_price,
        price=quoted.price,
        verdict=quoted.verdict,
        record=quoted.record,
    )
    QuoteLine.objects.bulk_create(
        QuoteLine(
            quote_kit=kit,
            position=line.position,
            kind=line.kind,
            slot_code=line.slot_code,
            text=line.text,
            part_id=line.part_id,
            quantity=line.quantity,
            unit_price=line.unit_price,
        )
        for line in lines
    )


def _replace(user: User, old: Quote, new: Quote, now: datetime) -> None:
    """The new quote stands for the old one, and has its live hold."""
    from .ordering import review_waiting

    held = live_hold(old, now)
    old.state = Quote.State.REPLACED
    if held is not None:
        old.reservation = None
    old.save(update_fields=["state", "reservation"])
    if held is None:
        return
    held = reserving.change(user, held, wants_of(new))
    held.reference = new.number
    held.save(update_fields=["reference"])
    new.reservation = held
    new.save(update_fields=["reservation"])
    review_waiting(now)  # What is wanted no more may be what an order waits for.
