"""Corrections outside of rounds: with a reason, and by two people when much is at stake."""

from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import Group, User
from django.utils import timezone

from inventory.acting import ActError, Conflict, NotAllowed
from inventory.counting import adjust, approve, correct, refuse
from inventory.models import Correction, Movement, Part
from inventory.reserving import commit
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_lot, a_part, an_offer, put, stock_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def floor(clerk: Clerk) -> User:
    return clerk("floor")


@pytest.fixture
def ring(db: None) -> Part:
    """Twenty pieces at 12.50: eight of them are just within the limit of 100."""
    return put(a_part(), 20)


@pytest.mark.parametrize(("change", "left"), [(-8, 12), (8, 28)])
def test_a_correction_up_to_the_limit_is_posted_with_its_reason(
    floor: User, ring: Part, change: int, left: int
) -> None:
    correction = adjust(floor, ring, a_bin(), change, "found when tidying up")
    movement = correction.movement
    assert movement is not None and movement.act == Movement.Act.ADJUST
    assert movement.reason == "found when tidying up"
    assert (correction.state, correction.value) == (Correction.State.POSTED, Decimal(100))
    assert stock_of(ring) == (left, 0, 0)


@pytest.mark.parametrize(("change", "left"), [(-9, 11), (9, 29)])
def test_a_correction_over_the_limit_changes_nothing_until_it_is_approved(
    floor: User, ring: Part, clerk: Clerk, change: int, left: int
) -> None:
    correction = adjust(floor, ring, a_bin(), change, "water came in")
    assert correction.state == Correction.State.ASKED and stock_of(ring) == (20, 0, 0)
    approved = approve(clerk("buying"), correction)
    assert approved.movement is not None and approved.movement.by == clerk("buying")
    assert stock_of(ring) == (left, 0, 0)
    with pytest.raises(Conflict, match="posted already"):
        approve(clerk("buying"), correction)


def test_nobody_approves_their_own_correction(floor: User, ring: Part) -> None:
    floor.groups.add(Group.objects.get(name="buying"))
    both = User.objects.get(pk=floor.pk)
    correction = adjust(both, ring, a_bin(), -9, "water came in")
    with pytest.raises(NotAllowed) as refused:
        approve(both, correction)
    assert refused.value.code == "own-correction" and stock_of(ring) == (20, 0, 0)


def test_a_refused_correction_leaves_the_ledger(floor: User, ring: Part, clerk: Clerk) -> None:
    correction = adjust(floor, ring, a_bin(), -9, "water came in")
    with pytest.raises(ActError, match="Say why"):
        refuse(clerk("buying"), correction, "")
    refused = refuse(clerk("buying"), correction, "they dry")
    assert (refused.state, refused.decided_by) == (Correction.State.REFUSED, clerk("buying"))
    assert stock_of(ring) == (20, 0, 0)


def test_one_loss_is_not_asked_for_twice(floor: User, ring: Part) -> None:
    adjust(floor, ring, a_bin(), -9, "water came in")
    with pytest.raises(Conflict) as refused:
        adjust(floor, ring, a_bin(), -1, "one more")
    assert refused.value.code == "correction-waits"
    with pytest.raises(Conflict, match="waits for approval"):
        correct(floor, ring, a_bin(), 11, "counted")
    adjust(floor, put(ring, 1, a_bin(2)), a_bin(2), -1, "elsewhere")


def test_the_worth_is_what_the_pieces_cost_where_that_is_known(floor: User, ring: Part) -> None:
    ring.stock.value = Decimal("40")
    ring.stock.save(update_fields=["value"])
    correction = adjust(floor, ring, a_bin(), -9, "water came in")
    assert (correction.value, correction.state) == (Decimal(18), Correction.State.POSTED)


def test_what_is_kept_stays_and_its_keepers_are_named(floor: User, ring: Part, clerk: Clerk) -> None:
    commit(clerk("counter"), {ring.pk: 19}, reference="S34")
    with pytest.raises(Conflict, match="19 committed for S34"):
        adjust(floor, ring, a_bin(), -2, "dropped")
    assert not Correction.objects.exists()


@pytest.mark.parametrize(
    ("change", "reason", "code"), [(0, "tidy", "nothing-moved"), (1, " ", "reason-needed")]
)
def test_a_correction_of_nothing_or_without_reason_is_refused(
    floor: User, ring: Part, change: int, reason: str, code: str
) -> None:
    with pytest.raises(ActError) as refused:
        adjust(floor, ring, a_bin(), change, reason)
    assert refused.value.code == code


def test_the_correction_keeps_who_asked_and_who_decided(floor: User, ring: Part, clerk: Clerk) -> None:
    correction = approve(clerk("buying"), adjust(floor, ring, a_bin(), -9, "water came in"))
    assert (correction.asked_by, correction.decided_by) == (floor, clerk("buying"))
    assert correction.decided_at is not None and correction.decided_at <= timezone.now()


@pytest.mark.parametrize(("lot", "change", "code"), [("", 9, "lot-needed"), ("N1", 9, "bad-quantity")])
def test_tracked_pieces_are_not_asked_for_without_their_serial_numbers(
    floor: User, lot: str, change: int, code: str
) -> None:
    pump = a_part(tracking=Part.Tracking.SERIAL)
    with pytest.raises(ActError) as refused:
        adjust(floor, pump, a_bin(), change, "a crate", a_lot(pump, lot) if lot else None)
    assert refused.value.code == code and not Correction.objects.exists()


def test_a_serial_number_that_is_here_already_is_not_asked_for(floor: User, clerk: Clerk) -> None:
    pump = a_part(tracking=Part.Tracking.SERIAL)
    Part.objects.filter(pk=pump.pk).update(price=Decimal("500"))  # More than one person may change.
    pump = put(Part.objects.get(pk=pump.pk), 1, lot="N1")
    with pytest.raises(ActError, match=r"N1 .* is booked in A-1-1-1 already") as refused:
        adjust(floor, pump, a_bin(2), 1, "found it", a_lot(pump, "N1"))
    assert refused.value.code == "wrong-lot" and not Correction.objects.exists()


@pytest.mark.main_job
@pytest.mark.parametrize("approval", [True, False])
def test_pieces_worth_more_than_can_be_written_down_are_refused(
    floor: User, settings: Any, approval: bool
) -> None:
    ring = a_part()
    an_offer(ring, price="12000")
    Part.objects.filter(pk=ring.pk).update(price=Decimal("12000"))
    settings.SHOP_CORRECTION_LIMIT = Decimal(100 if approval else 10**12)
    with pytest.raises(ActError, match="Look at how many pieces") as refused:
        adjust(floor, Part.objects.get(pk=ring.pk), a_bin(), 1_000_000, "a crate")
    assert refused.value.code == "bad-quantity"
    assert not Movement.objects.exists() and not Correction.objects.exists()
