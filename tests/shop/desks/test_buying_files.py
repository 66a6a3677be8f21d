"""What the buying desk downloads: its lists, and the papers of an order."""

import csv
from datetime import timedelta
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.alerting import snooze
from inventory.buying import close_short, look_again
from inventory.models import Alert, Target
from tests.shop.api.stages import Stages
from tests.shop.desks.conftest import At

DESK = "buying"


def rows(at: At, name: str, query: str = "") -> list[dict[str, str]]:
    answer: Any = at(DESK).get(reverse("buying-file", args=[name]) + query)
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    assert f'filename="{name}-' in answer["Content-Disposition"]
    return list(csv.DictReader(StringIO(b"".join(answer.streaming_content).decode())))


def test_alerts_with_who_suffers_and_until_when_they_are_left(at: At, stages: Stages) -> None:
    order = stages.waiting()
    alert = Alert.objects.get(part=stages.shop.bolt)
    Alert.objects.filter(pk=alert.pk).update(cost_to_wait=Decimal("12.50"))
    (one,) = [row for row in rows(at, "alerts") if row["part"] == "OR-8B"]
    assert (one["cause"], one["cost_a_day"], one["supplier"]) == ("order waits", "12.50", "Pell Stores")
    assert order.number in one["orders"] and one["snoozed_until"] == ""
    until = timezone.localdate() + timedelta(days=3)
    snooze(stages.clerk(DESK), alert, until, "=cmd")
    (one,) = [row for row in rows(at, "alerts") if row["part"] == "OR-8B"]
    assert (one["snoozed_until"], one["snooze_reason"]) == (until.isoformat(), "'=cmd")


def test_alerts_of_one_cause(at: At, stages: Stages) -> None:
    stages.waiting()
    Target.objects.create(part=stages.shop.pulley, reorder_at=5, up_to=9, why="One a kit.")
    look_again([stages.shop.pulley.pk], timezone.now())
    assert {row["cause"] for row in rows(at, "alerts")} == {"below target", "order waits"}
    assert {row["cause"] for row in rows(at, "alerts", "?cause=below+target")} == {"below target"}


def test_suggested_lines(at: At, stages: Stages) -> None:
    Target.objects.create(part=stages.shop.bolt, reorder_at=20, up_to=40, why="Every kit takes four.")
    look_again([stages.shop.bolt.pk], timezone.now())
    (one,) = rows(at, "suggestions")
    assert (one["supplier"], one["part"], one["quantity"], one["price"], one["value"]) == (
        "Pell Stores",
        "OR-8B",
        "30",
        "0.75",
        "22.50",
    )


def test_orders_line_by_line(at: At, stages: Stages) -> None:
    draft, sent = stages.draft(), stages.sent()
    first, second = rows(at, "orders")
    assert (first["order"], first["state"], first["ordered"]) == (sent.number, "sent", "5")
    assert (second["order"], second["state"], second["ordered"], second["sent_at"]) == (
        draft.number,
        "draft",
        "",
        "",
    )


def test_differences_settled_and_not(at: At, stages: Stages) -> None:
    order = stages.sent()
    close_short(stages.clerk(DESK), order.lines.get(), "made no more")
    (one,) = rows(at, "differences")
    assert (one["order"], one["kind"], one["quantity"], one["note"], one["settled_how"]) == (
        order.number,
        "short",
        "5",
        "made no more",
        "",
    )


@pytest.mark.parametrize(("kind", "begins"), [("pdf", b"%PDF"), ("csv", b"order,")])
def test_the_papers_of_an_order(at: At, stages: Stages, kind: str, begins: bytes) -> None:
    order = stages.sent()
    answer = at(DESK).get(reverse("purchase-paper", args=[order.pk, kind]))
    assert answer.content.startswith(begins)
    assert f'filename="order-{order.number}.{kind}"' in answer["Content-Disposition"]


def test_what_is_not_there_is_not_found(at: At, stages: Stages) -> None:
    order = stages.sent()
    assert at(DESK).get(reverse("buying-file", args=["secrets"])).status_code == 404
    assert at(DESK).get(reverse("purchase-paper", args=[order.pk, "exe"])).status_code == 404
    assert at(DESK).get(reverse("purchase-paper", args=[order.pk + 9, "pdf"])).status_code == 404


@pytest.mark.parametrize("desk", ["counter", "floor", "catalogue"])
def test_they_are_for_whoever_buys(at: At, stages: Stages, desk: str) -> None:
    order = stages.sent()
    for address in (
        reverse("buying-file", args=["orders"]),
        reverse("purchase-paper", args=[order.pk, "pdf"]),
    ):
        assert at(desk).get(address).status_code == 403
