"""The acts of buying and at the dock."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, datetime
from decimal import Decimal

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import buying, differences, slipping
from inventory.late_charges import charge_late as charge
from inventory.models import Difference, PurchaseLine, PurchaseOrder, Receipt, Reservation, Supplier
from inventory.tying import waiting_for
from tests.soak.premises import Premises

from .done import Args, Done, parts_of


def order(user: User, premises: Premises, args: Args, _key: str) -> Done:
    """Two acts in one request: write the order and send it."""
    supplier = Supplier.objects.get(pk=premises.supplier)
    sent = buying.send(user, buying.write_order(user, supplier, {args["part"]: args["quantity"]}))
    line = sent.lines.get()
    return Done({"order": sent.pk, "line": line.pk, "due": line.due.isoformat()}, [args["part"]])


def slip(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    line = PurchaseLine.objects.get(pk=args["line"])
    slipping.slip(user, line, date.fromisoformat(args["due"]), "the works stand still")
    return Done({}, [args["part"]])


def receive(user: User, _premises: Premises, args: Args, key: str) -> Done:
    """Good pieces and spoilt ones, too many at times; tells what was noted, and whom it ends."""
    line, part = args["line"], args["part"]
    not_owed = args.get("not_owed", False)
    waiting = _lock_who_waits(part, timezone.now()) if not_owed else set()
    receipt = buying.receive(
        user,
        PurchaseOrder.objects.get(pk=args["order"]),
        delivery_note=key,
        quantities={line: args["quantity"]} if args["quantity"] else {},
        charges=Decimal(args.get("charges", "0")),
        keep_over=args.get("keep_over", False),
        spoilt={line: args["spoilt"]} if args.get("spoilt") else {},
        not_owed=[line] if not_owed else [],
    )
    noted = dict(receipt.differences.values_list("kind", "pk"))
    ended = _ended(waiting)
    return Done({"receipt": receipt.pk, "noted": noted, "ended": ended}, {part, *parts_of(*ended)})


def close_short(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    """The rest of a line will not come; tells whom that ends."""
    waiting = _lock_who_waits(args["part"], timezone.now())
    made = buying.close_short(user, PurchaseLine.objects.get(pk=args["line"]), "will not come")
    ended = _ended(waiting)
    return Done({"noted": _noted(made), "ended": ended}, {args["part"], *parts_of(*ended)})


def report(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    line = PurchaseLine.objects.get(pk=args["line"])
    made = differences.report(user, line, args["quantity"], "other rings")
    return Done({"noted": _noted(made)}, [])


def settle(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    buying.settle(user, Difference.objects.get(pk=args["difference"]), "credited")
    return Done({}, [])


def charge_late(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    receipt = Receipt.objects.get(pk=args["receipt"])
    made = charge(user, receipt, Decimal(args["amount"]), "freight")
    return Done({"charges": [one.pk for one in made]}, {one.part_id for one in made})


def _noted(difference: Difference) -> dict[str, int]:
    return {difference.kind: difference.pk}


def _lock_who_waits(part: int, now: datetime) -> set[int]:
    """Whom the act may end; locked as by the act itself, so that nobody comes in between."""
    differences.lock_for_less([part], now)
    return waiting_for([part], now)


def _ended(waiting: Collection[int]) -> list[int]:
    ended = Reservation.objects.filter(pk__in=waiting, state=Reservation.State.RELEASED).order_by("pk")
    return list(ended.values_list("pk", flat=True))
