"""The verdict can say no: whatever is tampered with after a good run is named."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from django.db import connection, models
from django.db.models import F
from django.test.utils import CaptureQueriesContext

from inventory.models import (
    AuditEntry,
    Balance,
    Movement,
    PurchaseLine,
    PurchaseOrder,
    Reservation,
    ReservationLine,
    Stock,
)
from shop.models import KeptAnswer
from tests.scenes import Scene, Scenes

from .choosing import DUTIES
from .clerk import Clerk
from .logs import Told, told
from .model import Shop
from .premises import Premises, open_shop
from .verdict import verdict

ACTS = 30


class Run:
    """One client that did its acts alone, and all that the verdict asks for."""

    def __init__(self, folder: Path) -> None:
        self.premises: Premises = open_shop(1)
        self.model: Shop = self.premises.model()
        with CaptureQueriesContext(connection) as queries:
            Clerk(1, folder / "log", "alone", DUTIES).work(ACTS, time.time() + 120)
        self.statements = [query["sql"] for query in queries.captured_queries]
        self.log: Told = told(folder / "log")

    def verdict(self) -> str:
        return "\n".join(verdict(self.model, self.premises, [self.log]))


@pytest.fixture(scope="class")
def soaked(scenes: Scenes, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Scene[Run]]:
    with scenes.on("soaked", lambda: Run(tmp_path_factory.mktemp("soak"))) as scene:
        yield scene


@pytest.fixture
def run(soaked: Scene[Run], db: None) -> Run:
    return soaked.shown()


def raise_(row: models.Model, figure: str, by: int = 1) -> None:
    """Past all code and, a row at a time, within what the constraints allow."""
    type(row)._default_manager.filter(pk=row.pk).update(**{figure: F(figure) + by})


def lose_a_piece(_log: Told) -> None:
    raise_(Balance.objects.filter(quantity__gt=F("allotted"))[0], "quantity", -1)


def add_to_stock(_log: Told) -> None:
    raise_(Stock.objects.all()[0], "on_hand")


def double_a_movement(_log: Told) -> None:
    movement = Movement.objects.order_by("-pk")[0]
    movement.pk = None
    movement.save(force_insert=True)


def forget_a_commitment(_log: Told) -> None:
    kept = Reservation.objects.filter(state="kept", kind="commitment")[0]
    Reservation.objects.filter(pk=kept.pk).update(state="released")


def keep_more(_log: Told) -> None:
    raise_(ReservationLine.objects.filter(reservation__state="kept")[0], "quantity")


def order_more(_log: Told) -> None:
    """A piece more on an order that is on its way; all may have come by now, so it is on its way again."""
    line = PurchaseLine.objects.exclude(order__sent_at=None)[0]
    PurchaseOrder.objects.filter(pk=line.order_id).update(state=PurchaseOrder.State.SENT)
    raise_(line, "quantity")


def lose_an_answer(_log: Told) -> None:
    KeptAnswer.objects.order_by("-pk")[0].delete()


def act_unasked(_log: Told) -> None:
    entry = AuditEntry.objects.filter(user__username="client-1")[0]
    entry.pk = None
    entry.save(force_insert=True)


def keep_a_refused_key(log: Told) -> None:
    log.refusals[KeptAnswer.objects.all()[0].key] = "short"


def answer_what_nobody_meant(log: Told) -> None:
    del log.intents[next(iter(log.answers))]


def tell_acts_in_another_order(_log: Told) -> None:
    """The first delivery takes the place of the first order, as if it had come before."""
    first, later = (
        KeptAnswer.objects.filter(body__kind=kind).order_by("pk")[0] for kind in ("order", "receive")
    )
    early, late = dict(first.body or {}), dict(later.body or {})
    first.body, later.body = early | {"audit": late["audit"]}, late | {"audit": early["audit"]}
    first.save()
    later.save()


def test_a_good_run_has_no_fault(run: Run) -> None:
    assert run.verdict() == ""


@pytest.mark.parametrize(
    ("tamper", "named"),
    [
        (lose_a_piece, "bins of"),
        (add_to_stock, "stock on hand of part"),
        (double_a_movement, "the records say"),
        (forget_a_commitment, "the commitment"),
        (keep_more, "kept of"),
        (order_more, "coming of"),
        (lose_an_answer, "but None is kept"),
        (act_unasked, "belongs to 0 answers"),
        (keep_a_refused_key, "was refused with short, but act"),
        (answer_what_nobody_meant, "is kept, but nobody meant to ask for it"),
        (tell_acts_in_another_order, "the history breaks"),
    ],
)
def test_what_was_tampered_with_is_named(run: Run, tamper: Callable[[Told], None], named: str) -> None:
    tamper(run.log)
    assert named in run.verdict()


def test_no_act_locks_rows_of_a_table_that_it_only_joins(run: Run) -> None:
    """A maker's or a place's row, once locked, would let everybody wait for everybody."""
    locking = [statement for statement in run.statements if "FOR UPDATE" in statement]
    joined = [one for one in locking if " JOIN " in one and "FOR UPDATE OF" not in one]
    assert locking
    assert joined == []
