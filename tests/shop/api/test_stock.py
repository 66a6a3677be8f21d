"""Stock over HTTP: figures by the clock, places, movements."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import time_machine
from django.utils import timezone

from inventory.models import Part
from shop import quoting
from tests.shop.api.stages import Stages
from tests.shop.api.talking import Api, problem


def figures(row: Any) -> tuple[int, ...]:
    return tuple(row[name] for name in ("on_hand", "held", "committed", "free", "to_come"))


def row_of(api: Api, number: str) -> Any:
    [row] = api("counter").read("stock/", number=number)["results"]
    return row


def test_figures_by_part(stages: Stages, api: Api) -> None:
    stages.ready()
    quoting.hold(stages.shop.counter, stages.quote())
    sent = stages.sent()
    pulley = row_of(api, "OR-40")
    assert figures(pulley) == (3, 1, 1, 1, 5)
    assert pulley["next_due"] == sent.lines.get().due.isoformat()
    assert figures(row_of(api, "OR-8B")) == (10, 4, 4, 2, 0)
    assert row_of(api, "OR-8B")["next_due"] is None


def test_a_lapsed_hold_counts_for_nothing_though_nobody_swept_it_up(stages: Stages, api: Api) -> None:
    quoting.hold(stages.shop.counter, stages.quote(), hours=1)
    assert figures(row_of(api, "OR-7P")) == (2, 1, 0, 1, 0)
    with time_machine.travel(timezone.now() + timedelta(hours=2)):
        assert figures(row_of(api, "OR-7P")) == (2, 0, 0, 2, 0)


def test_a_draft_is_not_to_come(stages: Stages, api: Api) -> None:
    stages.draft()
    assert row_of(api, "OR-40")["to_come"] == 0


def test_a_part_that_never_was_in_stock_has_zeros(stages: Stages, api: Api) -> None:
    pulley = stages.shop.pulley
    Part.objects.create(
        maker=pulley.maker, number="OR-99", name="new", category=pulley.category, price=Decimal(1)
    )
    assert figures(row_of(api, "OR-99")) == (0, 0, 0, 0, 0)


def test_one_part_shows_what_lies_where(stages: Stages, api: Api) -> None:
    shown = api("floor").read(f"stock/{stages.shop.pump.pk}/")
    assert figures(shown) == (2, 0, 0, 2, 0)
    assert [(one["place"], one["lot"], one["quantity"]) for one in shown["balances"]] == [
        ("A-1-2", "N1", 1),
        ("A-1-2", "N2", 1),
    ]


def test_stock_of_no_part_is_not_found(stages: Stages, api: Api) -> None:
    problem(api("floor").get("stock/0/"), 404, "not-found")
    problem(api("floor").get("stock/0/movements/"), 404, "not-found")
