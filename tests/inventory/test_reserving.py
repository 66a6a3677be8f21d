"""Holds, commitments, and what happens when there is not enough."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from inventory import keeping, reserving
from inventory.acting import ActError, Conflict, NotAllowed
from inventory.models import AuditEntry, PurchaseLine, Reservation, ReservationLine, Stock
from inventory.promising import free
from inventory.reserving import Lapsed, Short, commit, hold, make_commitment, release, settle_receipt, use_up
from inventory.tasks import lapse_holds
from tests.clerks import Clerk
from tests.inventory.builders import a_part, an_offer, inbound, put, stock_of, today

pytestmark = pytest.mark.django_db


@pytest.fixture
def counter(clerk: Clerk) -> User:
    return clerk("counter")


def an_hour() -> timedelta:
    return timedelta(hours=1)


def hold_one(user: User, wants: dict[int, int], reference: str = "Q1") -> Reservation:
    return hold(user, wants, until=timezone.now() + an_hour(), reference=reference)


def let_it_lapse(reservation: Reservation) -> None:
    """The clock goes on past its end, and no sweeper has come by."""
    Reservation.objects.filter(pk=reservation.pk).update(until=timezone.now() - an_hour())


@pytest.mark.main_job
def test_a_hold_keeps_stock_and_says_who_did_it(counter: User) -> None:
    ring, seal = put(a_part(), 5), put(a_part(), 2)
    kept = hold_one(counter, {ring.pk: 3, seal.pk: 2})
    assert stock_of(ring) == (5, 3, 0) and stock_of(seal) == (2, 2, 0)
    assert free([ring.pk, seal.pk], timezone.now()) == {ring.pk: 2, seal.pk: 0}
    assert AuditEntry.objects.get(act="reserving.hold").subject_id == str(kept.pk)


@pytest.mark.main_job
def test_a_short_want_keeps_nothing_and_names_what_is_short_and_until_when(counter: User) -> None:
    ring, seal = put(a_part(), 5), put(a_part("TF-9", name="Lip seal"), 1)
    an_offer(seal, lead_days=7)
    with pytest.raises(Short) as short:
        hold_one(counter, {ring.pk: 3, seal.pk: 2})
    day = (today() + timedelta(days=7)).isoformat()
    assert short.value.details["lines"] == [
        {"part": seal.pk, "number": "TF-9", "name": "Lip seal", "wanted": 2, "free": 1, "on": day}
    ]
    assert "2 x Tarn Foundry TF-9 Lip seal wanted, 1 free" in short.value.message
    assert stock_of(ring) == (5, 0, 0) and not Reservation.objects.exists()


def test_what_nobody_offers_is_short_without_a_day(counter: User) -> None:
    with pytest.raises(Short) as short:
        commit(counter, {a_part().pk: 1}, reference="S1")
    assert short.value.details["lines"][0]["on"] is None


@pytest.mark.main_job
def test_the_shelf_is_used_first_and_then_what_comes_soonest(counter: User) -> None:
    ring = put(a_part(), 2)
    late, soon = inbound(ring, 4, in_days=20), inbound(ring, 1, in_days=5)
    kept = commit(counter, {ring.pk: 5}, reference="S1")
    lines = dict(kept.lines.values_list("purchase_line", "quantity"))
    assert lines == {None: 2, soon.pk: 1, late.pk: 2}
    late.refresh_from_db()
    assert late.reserved == 2 and stock_of(ring) == (2, 0, 2)


def test_a_draft_order_promises_nothing(counter: User) -> None:
    line = inbound(a_part(), 4)
    line.order.state, line.order.sent_at = "draft", None
    line.order.approved_at = line.order.approved_by = None
    line.order.save()
    with pytest.raises(Short):
        commit(counter, {line.part_id: 1}, reference="S1")


@pytest.mark.main_job
def test_a_lapsed_hold_counts_for_nothing_without_a_worker(counter: User) -> None:
    ring, seal = put(a_part(), 1), put(a_part(), 1)
    old = hold_one(counter, {ring.pk: 1, seal.pk: 1})
    let_it_lapse(old)
    assert free([ring.pk], timezone.now()) == {ring.pk: 1}
    commit(counter, {ring.pk: 1}, reference="S2")
    old.refresh_from_db()
    assert old.state == Reservation.State.LAPSED
    assert stock_of(ring) == (1, 0, 1) and stock_of(seal) == (1, 0, 0)


@pytest.mark.main_job
def test_a_live_hold_becomes_the_commitment(counter: User) -> None:
    ring = put(a_part(), 3)
    kept = make_commitment(counter, hold_one(counter, {ring.pk: 2}), reference="S7")
    assert (kept.kind, kept.until, kept.reference) == (Reservation.Kind.COMMITMENT, None, "S7")
    assert stock_of(ring) == (3, 0, 2)


def test_a_hold_that_is_over_does_not_become_a_commitment(counter: User) -> None:
    old = hold_one(counter, {put(a_part(), 1).pk: 1})
    let_it_lapse(old)
    with pytest.raises(Lapsed, match="Commit anew"):
        make_commitment(counter, old, reference="S7")


def test_a_commitment_or_a_released_hold_does_not_become_one_again(counter: User) -> None:
    ring = put(a_part(), 3)
    first, second = hold_one(counter, {ring.pk: 1}), hold_one(counter, {ring.pk: 1})
    make_commitment(counter, first, reference="S7")
    release(counter, second)
    for ended in (first, second):
        with pytest.raises(Conflict):
            make_commitment(counter, ended, reference="S8")
    assert stock_of(ring) == (3, 0, 1)


def test_releasing_gives_back_stock_and_inbound_and_may_be_said_twice(counter: User) -> None:
    ring = put(a_part(), 1)
    line = inbound(ring, 1)
    kept = hold_one(counter, {ring.pk: 2})
    assert release(counter, kept).state == Reservation.State.RELEASED
    assert release(counter, kept).state == Reservation.State.RELEASED
    line.refresh_from_db()
    assert stock_of(ring) == (1, 0, 0) and line.reserved == 0


def test_what_has_left_the_shop_cannot_be_released(counter: User) -> None:
    kept = commit(counter, {put(a_part(), 1).pk: 1}, reference="S1")
    use_up(kept)
    with pytest.raises(Conflict, match="used up"):
        release(counter, kept)
    with pytest.raises(Conflict, match="committed by this any more"):
        use_up(kept)


def test_what_waits_for_a_delivery_cannot_be_used_up(counter: User) -> None:
    kept = commit(counter, {inbound(a_part(), 1).part_id: 1}, reference="S1")
    with pytest.raises(Conflict, match="still waits for 1 x"):
        use_up(kept)


def test_a_receipt_serves_commitments_before_holds_and_the_oldest_first(counter: User) -> None:
    line = inbound(a_part(), 9)
    held = hold_one(counter, {line.part_id: 2})
    first = commit(counter, {line.part_id: 2}, reference="S1")
    second = commit(counter, {line.part_id: 2}, reference="S2")
    put(line.part, 3)
    assert settle_receipt(line, 3) == 3
    on_stock = ReservationLine.objects.filter(purchase_line=None)
    assert dict(on_stock.values_list("reservation", "quantity")) == {first.pk: 2, second.pk: 1}
    assert stock_of(line.part) == (3, 0, 3)
    put(line.part, 4)
    assert settle_receipt(line, 4) == 3
    assert dict(on_stock.values_list("reservation", "quantity")) == {first.pk: 2, second.pk: 2, held.pk: 2}
    assert PurchaseLine.objects.get().reserved == 0


def test_the_sweeper_ends_what_is_over_and_nothing_else(counter: User) -> None:
    ring = put(a_part(), 3)
    over, running = hold_one(counter, {ring.pk: 1}), hold_one(counter, {ring.pk: 1})
    let_it_lapse(over)
    assert lapse_holds() == 1
    assert lapse_holds() == 0
    running.refresh_from_db()
    assert running.state == Reservation.State.KEPT and stock_of(ring) == (3, 1, 0)


@pytest.mark.main_job
def test_a_crash_in_the_middle_leaves_nothing(counter: User, monkeypatch: pytest.MonkeyPatch) -> None:
    ring = put(a_part(), 3)
    inbound(ring, 3)

    def crash(*_: object, **__: object) -> None:
        raise RuntimeError("the power went")

    monkeypatch.setattr(keeping, "change_kept", crash)
    with pytest.raises(RuntimeError):
        hold_one(counter, {ring.pk: 5})
    assert stock_of(ring) == (3, 0, 0)
    assert not Reservation.objects.exists() and not AuditEntry.objects.exists()


@pytest.mark.parametrize("wants", [{}, {1: 0}, {1: -2}])
def test_nonsense_wants_are_refused(counter: User, wants: dict[int, int]) -> None:
    with pytest.raises(ActError) as refused:
        commit(counter, wants, reference="S1")
    assert refused.value.code == "nothing-wanted"


def test_a_part_that_is_not_there_is_refused(counter: User) -> None:
    with pytest.raises(ActError) as refused:
        commit(counter, {999_999: 1}, reference="S1")
    assert refused.value.code == "no-such-part"
    assert not Stock.objects.exists()


def test_a_hold_cannot_end_in_the_past(counter: User) -> None:
    with pytest.raises(ActError) as refused:
        hold(counter, {put(a_part(), 1).pk: 1}, until=timezone.now(), reference="Q1")
    assert refused.value.code == "until-is-past"


def test_another_desk_may_not_keep_stock(clerk: Clerk) -> None:
    for desk in ("floor", "buying", "catalogue"):
        with pytest.raises(NotAllowed):
            reserving.commit(clerk(desk), {1: 1}, reference="S1")
