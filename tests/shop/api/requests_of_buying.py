"""One request for each address of alerts and orders to suppliers, by who may make it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

from django.utils import timezone

from tests.shop.api.stages import Stages

# Address and body of one request, from the stages of the small shop.
Request = Callable[[Stages], tuple[str, Any]]

READS: dict[str, Callable[[Stages], str]] = {
    "alerts/": lambda _: "alerts/",
    "alerts/{id}/": lambda s: f"alerts/{s.alert().pk}/",
    "purchase-orders/": lambda _: "purchase-orders/",
    "purchase-orders/{id}/": lambda s: f"purchase-orders/{s.draft().pk}/",
    "purchase-orders/late/": lambda _: "purchase-orders/late/",
    "suggestions/": lambda _: "suggestions/",
    "differences/": lambda _: "differences/",
    "differences/{id}/": lambda s: f"differences/{s.difference().pk}/",
    "supplier-mails/": lambda _: "supplier-mails/",
    "supplier-mails/{id}/": lambda s: f"supplier-mails/{s.letter().pk}/",
}

READS_OF_BUYING: dict[str, Callable[[Stages], str]] = {
    "purchase-orders/{id}/paper/": lambda s: f"purchase-orders/{s.draft().pk}/paper/",
    "target-runs/": lambda _: "target-runs/",
    "target-runs/{id}/": lambda s: f"target-runs/{s.target_run().pk}/",
    "targets/": lambda _: "targets/",
    "targets/{part_id}/": lambda s: f"targets/{s.target().part_id}/",
}


def slipping(s: Stages) -> tuple[str, Any]:
    line = s.sent().lines.get()
    due = timezone.localdate() + timedelta(days=300)
    return f"purchase-orders/{line.order_id}/lines/{line.pk}/slip/", {"due": str(due), "reason": "late"}


def writing(s: Stages) -> tuple[str, Any]:
    lines = [{"part": s.shop.bolt.pk, "quantity": 50}]
    return "purchase-orders/", {"supplier": "pell", "lines": lines}


def receiving(s: Stages) -> tuple[str, Any]:
    order = s.sent()
    return f"purchase-orders/{order.pk}/receive/", s.delivery(order)


def adding_a_line(s: Stages) -> tuple[str, Any]:
    return f"purchase-orders/{s.draft().pk}/lines/", {"part": s.shop.bolt.pk, "quantity": 50}


def of_a_line(act: str, body: dict[str, Any], *, sent: bool) -> Request:
    def request(s: Stages) -> tuple[str, Any]:
        line = (s.sent() if sent else s.draft()).lines.get()
        return f"purchase-orders/{line.order_id}/lines/{line.pk}/{act}/", body

    return request


def taking_up(s: Stages) -> tuple[str, Any]:
    lines = [{"part": s.shop.bolt.pk, "quantity": 50}]
    return "suggestions/draft/", {"supplier": "pell", "lines": lines}


def charging_late(s: Stages) -> tuple[str, Any]:
    receipt = s.received()
    return "store-room/late-charges/", {"receipt": receipt.pk, "amount": "12.00", "reason": "freight"}


def snoozed() -> dict[str, str]:
    until = timezone.localdate() + timedelta(days=3)
    return {"until": until.isoformat(), "reason": "a box of them comes tomorrow"}


WRITES: dict[str, tuple[tuple[str, ...], Request]] = {
    "purchase-orders/{id}/lines/{line}/slip/": (("buying",), slipping),
    "alerts/{id}/snooze/": (("buying",), lambda s: (f"alerts/{s.alert().pk}/snooze/", snoozed())),
    "alerts/{id}/wake/": (("buying",), lambda s: (f"alerts/{s.alert().pk}/wake/", {})),
    "alerts/order/": (("buying",), lambda s: ("alerts/order/", {"alerts": [s.alert().pk]})),
    "purchase-orders/": (("buying",), writing),
    "purchase-orders/{id}/send/": (("buying",), lambda s: (f"purchase-orders/{s.draft().pk}/send/", {})),
    "purchase-orders/{id}/receive/": (("floor", "buying"), receiving),
    "purchase-orders/approve/": (
        ("buying",),
        lambda s: ("purchase-orders/approve/", {"orders": [s.draft().pk]}),
    ),
    "purchase-orders/{id}/take-back/": (
        ("buying",),
        lambda s: (f"purchase-orders/{s.approved().pk}/take-back/", {}),
    ),
    "purchase-orders/{id}/discard/": (
        ("buying",),
        lambda s: (f"purchase-orders/{s.draft().pk}/discard/", {}),
    ),
    "purchase-orders/{id}/lines/": (("buying",), adding_a_line),
    "purchase-orders/{id}/lines/{line}/change/": (
        ("buying",),
        of_a_line("change", {"quantity": 7}, sent=False),
    ),
    "purchase-orders/{id}/lines/{line}/close-short/": (
        ("buying",),
        of_a_line("close-short", {"reason": "out of their range"}, sent=True),
    ),
    "purchase-orders/{id}/lines/{line}/report/": (
        ("floor", "buying"),
        of_a_line("report", {"quantity": 1, "what": "another bore"}, sent=True),
    ),
    "purchase-orders/remind/": (
        ("buying",),
        lambda s: ("purchase-orders/remind/", {"lines": [s.late_line().pk], "note": "where is it?"}),
    ),
    "suggestions/draft/": (("buying",), taking_up),
    "differences/{id}/settle/": (
        ("buying",),
        lambda s: (f"differences/{s.difference().pk}/settle/", {"how": "credited"}),
    ),
    "supplier-mails/{id}/send-again/": (
        ("buying",),
        lambda s: (f"supplier-mails/{s.letter().pk}/send-again/", {}),
    ),
    "supplier-mails/{id}/count-as-sent/": (
        ("buying",),
        lambda s: (f"supplier-mails/{s.letter().pk}/count-as-sent/", {"how": "they rang"}),
    ),
    "store-room/late-charges/": (("buying",), charging_late),
}
