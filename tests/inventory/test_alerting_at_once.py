"""Very many parts, two at once, and acts that are looked at once they are committed."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.acting import ActError
from inventory.alerting import look_again, look_over, marking
from inventory.counting import scrap
from inventory.ledger import lock_stock
from inventory.models import Alert, Category, Offer, Part, Stock, Target, Webhook, WebhookMessage
from inventory.reserving import change, commit, hold, release
from inventory.webhooks import new_secret
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_maker, a_part, a_supplier, inbound, put

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

Threads = Callable[..., list[Any]]


def many(count: int, *, on_hand: int = 0) -> list[Part]:
    """Parts with a target and an offer."""
    category, _ = Category.objects.get_or_create(code="rings", defaults={"name": "Rings"})
    maker, supplier, start = a_maker(), a_supplier(), Part.objects.count()
    parts = Part.objects.bulk_create(
        Part(maker=maker, number=f"M-{n}", key=f"M{n}", name="Ring", category=category, price=1)
        for n in range(start, start + count)
    )
    Target.objects.bulk_create(Target(part=part, reorder_at=3, up_to=9, why="test") for part in parts)
    Offer.objects.bulk_create(Offer(part=part, supplier=supplier, price=1) for part in parts)
    Stock.objects.bulk_create(Stock(part=part, on_hand=on_hand, value=on_hand) for part in parts)
    return parts


def test_a_thousand_alerts_raised_twice_are_a_thousand() -> None:
    many(1100)
    first = {alert.pk for alert in look_again(None, timezone.now())}
    assert len(first) == 1100
    assert {alert.pk for alert in look_again(None, timezone.now())} == first
    assert Alert.objects.count() == 1100


def asked(work: Callable[[], Any]) -> int:
    with CaptureQueriesContext(connection) as queries:
        work()
    return len(queries)


def test_a_thousand_parts_ask_as_often_as_ten() -> None:
    many(10)
    few = asked(lambda: look_over(timezone.now()))
    many(900)
    # SQLite writes fifty rows at a time; nothing else is asked more often.
    assert asked(lambda: look_over(timezone.now())) < few + 910 // 50 < 45
    # Nothing has changed: nothing is written.
    assert asked(lambda: look_over(timezone.now())) < few


@pytest.mark.django_db(transaction=True)
def test_a_thousand_alerts_raised_by_two_at_once_are_a_thousand_and_told_once(
    run_in_threads: Threads, settings: Any
) -> None:
    settings.CELERY_TASK_ALWAYS_EAGER = False  # Nobody delivers here.
    with transaction.atomic():
        many(1000)
        Webhook.objects.create(url="https://hear.example/", secret=new_secret())

    def look() -> int:
        return look_over(timezone.now())

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("inventory.webhooks.telling.deliver_soon", lambda: None)
        assert run_in_threads(look, look, look) == [1000, 1000, 1000]
    assert Alert.objects.count() == Alert.objects.filter(cleared_at=None).count() == 1000
    assert WebhookMessage.objects.count() == 1000


@pytest.fixture
def at_once(settings: Any, transactional_db: None) -> None:
    """The embedded shop: what a worker would do is done by the process that acted."""
    settings.CELERY_TASK_ALWAYS_EAGER = True


def open_for(part: Part) -> list[Alert]:
    return list(Alert.objects.filter(part=part, cleared_at=None))


def a_target(part: Part, reorder_at: int = 3) -> Part:
    Target.objects.create(part=part, reorder_at=reorder_at, up_to=9, why="test")
    return part


def test_whatever_takes_pieces_away_raises_and_whatever_gives_them_back_clears(
    at_once: None, clerk: Clerk
) -> None:
    ring, counter = a_target(put(a_part(), 6)), clerk("counter")
    until = timezone.now() + timedelta(hours=1)
    held = hold(counter, {ring.pk: 2}, until=until, reference="Q1")
    assert open_for(ring) == []
    other = hold(counter, {ring.pk: 1}, until=until, reference="Q2")
    (alert,) = open_for(ring)
    assert alert.reason.startswith("3 free")
    release(counter, other)
    assert open_for(ring) == []
    change(counter, held, {ring.pk: 4})
    assert open_for(ring)[0].reason.startswith("2 free")
    change(counter, held, {ring.pk: 1})
    assert open_for(ring) == []
    scrap(clerk("floor"), ring, a_bin(), 2, "cracked")
    assert open_for(ring)[0].reason.startswith("3 free")


def test_a_commitment_raises_too_and_only_for_what_is_low(at_once: None, clerk: Clerk) -> None:
    low, plenty = a_target(put(a_part(), 4)), a_target(put(a_part(), 40))
    commit(clerk("counter"), {low.pk: 1, plenty.pk: 1}, reference="S1")
    assert len(open_for(low)) == 1 and open_for(plenty) == []


def test_a_hold_that_leaves_enough_looks_at_nothing(
    at_once: None, clerk: Clerk, monkeypatch: pytest.MonkeyPatch
) -> None:
    looked: list[list[int]] = []
    monkeypatch.setattr(marking, "look_again", lambda ids, now: looked.append(ids))
    plenty, low = a_target(put(a_part(), 40)), a_target(put(a_part(), 4))
    until = timezone.now() + timedelta(hours=1)
    hold(clerk("counter"), {plenty.pk: 1}, until=until, reference="Q1")
    assert looked == []
    hold(clerk("counter"), {plenty.pk: 1, low.pk: 1}, until=until, reference="Q2")
    assert looked == [[low.pk]]


def test_what_is_held_of_a_late_delivery_is_looked_at_without_a_target(at_once: None, clerk: Clerk) -> None:
    ring = a_part()
    line = inbound(ring, 5)
    type(line).objects.update(due=timezone.localdate() - timedelta(days=1))
    commit(clerk("counter"), {ring.pk: 2}, reference="S1")
    assert [alert.cause for alert in open_for(ring)] == ["late line"]


def test_an_act_that_is_refused_looks_at_nothing(at_once: None, clerk: Clerk) -> None:
    ring = a_target(put(a_part(), 3))
    until = timezone.now() + timedelta(hours=1)
    with pytest.raises(ActError):
        hold(clerk("counter"), {ring.pk: 9}, until=until, reference="Q1")
    assert open_for(ring) == []


def test_a_look_that_fails_takes_back_nothing_of_the_act(
    at_once: None, clerk: Clerk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object) -> None:
        raise RuntimeError

    monkeypatch.setattr(marking, "look_again", fails)
    ring = a_target(put(a_part(), 4))
    kept = hold(clerk("counter"), {ring.pk: 2}, until=timezone.now() + timedelta(hours=1), reference="Q1")
    kept.refresh_from_db()
    assert kept.state == "kept" and Stock.objects.get(part=ring).held == 2


def test_two_counters_that_empty_a_shelf_raise_one_alert(
    at_once: None, run_in_threads: Threads, clerk: Clerk
) -> None:
    ring, counter = a_target(put(a_part(), 8)), clerk("counter")

    def one() -> Any:
        return commit(counter, {ring.pk: 1}, reference="S")

    run_in_threads(*[one] * 6)
    with transaction.atomic():
        lock_stock([ring.pk])
    (alert,) = open_for(ring)
    assert alert.reason.startswith("2 free")
