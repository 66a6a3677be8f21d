"""Promises of random small shops against the balance of every day, looked at one by one."""

import random
from datetime import date, timedelta

import pytest
from django.utils import timezone

from inventory.models import Part, PurchaseLine, Reservation, ReservationLine, Stock
from inventory.promising import (
    Turn,
    availability,
    best_offers,
    free,
    in_turn,
    promise,
    supplies,
    whole_shop,
)
from inventory.reserving import Short, commit, hold
from tests.clerks import Clerk
from tests.inventory.builders import a_part, a_supplier, an_offer, inbound, put, today

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

SHOPS = 6
DAYS = 60


def a_shop(chance: random.Random, clerk: Clerk) -> list[Part]:
    """Parts with stock, deliveries, offers; holds that run and that are over; some wanted later."""
    parts = [a_part() for _ in range(3)]
    quick, slow = a_supplier("Quick", 4), a_supplier("Slow", 17)
    for part in parts:
        put(part, chance.randint(1, 6))
        for _ in range(chance.randint(0, 3)):
            inbound(part, chance.randint(1, 5), in_days=chance.randint(-3, 25))
        if chance.random() < 0.6:
            an_offer(part, chance.choice([quick, slow]))
    for _ in range(8):
        wants = {part.pk: chance.randint(1, 3) for part in chance.sample(parts, chance.randint(1, 3))}
        later = chance.choice([None, today() + timedelta(days=chance.randint(-2, 30))])
        try:
            if chance.random() < 0.5:
                commit(clerk("counter"), wants, reference="S", wanted_on=later)
            else:
                until = timezone.now() + timedelta(hours=1)
                hold(clerk("counter"), wants, until=until, reference="Q", wanted_on=later)
        except Short:
            pass
    over = [pk for pk in Reservation.objects.filter(kind="hold").values_list("pk", flat=True) if pk % 2]
    Reservation.objects.filter(pk__in=over).update(until=timezone.now())
    return parts


def balance(part: Part, day: date) -> int:
    """On hand, and what comes by then, less what leaves by then; read from the single reservations."""
    days = {line.pk: max(line.due, today() + timedelta(days=line.due < today())) for line in lines_of(part)}
    there: int = Stock.objects.get(part=part).on_hand
    there += sum(line.quantity - line.received for line in lines_of(part) if days[line.pk] <= day)
    kept = ReservationLine.objects.filter(part=part, reservation__state="kept").select_related("reservation")
    for line in kept.exclude(reservation__until__lte=timezone.now()):
        comes = today() if line.purchase_line_id is None else days[line.purchase_line_id]
        if max(comes, line.reservation.wanted_on or comes) <= day:
            there -= line.quantity
    return there


def lines_of(part: Part) -> list[PurchaseLine]:
    return list(PurchaseLine.objects.filter(part=part, order__state="sent"))


@pytest.mark.parametrize("seed", range(SHOPS))
def test_a_promise_is_what_the_balance_of_every_day_allows(seed: int, clerk: Clerk) -> None:
    chance = random.Random(seed)
    parts = a_shop(chance, clerk)
    days = [today() + timedelta(days=n) for n in range(DAYS)]
    least: dict[int, list[int]] = {}
    for part in parts:
        balances = [balance(part, day) for day in days]
        least[part.pk] = [max(0, min(balances[n:])) for n in range(DAYS)]
    now, ids = timezone.now(), [part.pk for part in parts]

    steps, many = availability(ids, now), whole_shop(now)
    for pk in ids:
        assert [steps[pk].at(day) for day in days] == least[pk]
        assert many.of(pk) == steps[pk]

    wants = {pk: chance.randint(1, 12) for pk in ids}
    offers, known, told = best_offers(ids), supplies(ids, now), promise(wants, now)
    expected: list[date | None] = []
    for pk, wanted in wants.items():
        plenty = least[pk][-1]
        on: date | None = days[next(n for n in range(DAYS) if least[pk][n] >= min(wanted, plenty))]
        if wanted > plenty:
            anew = today() + timedelta(days=offers[pk].days) if pk in offers else None
            on = max(on, anew) if on and anew else None
            assert known[pk].anew == anew
        expected.append(on)
    assert [line.on for line in told.lines] == expected
    assert told.on == (None if None in expected else max(day for day in expected if day))


@pytest.mark.parametrize("seed", range(SHOPS))
def test_what_is_free_is_on_hand_less_what_running_reservations_keep(seed: int, clerk: Clerk) -> None:
    parts = a_shop(random.Random(seed), clerk)
    for part in parts:
        kept = ReservationLine.objects.filter(part=part, purchase_line=None, reservation__state="kept")
        running = kept.exclude(reservation__until__lte=timezone.now())
        left = Stock.objects.get(part=part).on_hand - sum(line.quantity for line in running)
        assert free([part.pk], timezone.now()) == {part.pk: left}


@pytest.mark.parametrize("seed", range(SHOPS))
def test_who_waits_is_promised_what_the_earlier_ones_leave_of_every_day(seed: int, clerk: Clerk) -> None:
    chance = random.Random(100 + seed)
    parts = a_shop(chance, clerk)
    turns = [_a_turn(chance, parts) for _ in range(6)]
    found = in_turn(turns, timezone.now())
    left = {part.pk: [balance(part, today() + timedelta(days=n)) for n in range(DAYS)] for part in parts}
    offers = best_offers(left)
    for turn, told in zip(turns, found, strict=True):
        days, taken = [0], {}
        for pk, wanted in turn.wants.items():
            least = [max(0, min(left[pk][n:])) for n in range(DAYS)]
            taken[pk] = min(wanted, least[-1])
            days.append(next(n for n in range(DAYS) if least[n] >= taken[pk]))
            if wanted > taken[pk]:
                days.append(offers[pk].days if pk in offers else DAYS)
        if max(days) == DAYS:
            assert told.on is None
            continue
        assert told.on == today() + timedelta(days=max(days))
        leaves = max(*days, ((turn.wanted_on or today()) - today()).days)
        for pk, pieces in taken.items():
            left[pk] = [there - pieces * (n >= leaves) for n, there in enumerate(left[pk])]


@pytest.mark.parametrize("seed", range(SHOPS))
def test_all_who_wait_can_have_theirs_on_their_days_and_none_is_later_for_those_after_it(
    seed: int, clerk: Clerk
) -> None:
    chance = random.Random(200 + seed)
    parts = a_shop(chance, clerk)
    turns, now = [_a_turn(chance, parts) for _ in range(6)], timezone.now()
    found = in_turn(turns, now)
    for number in range(len(turns)):
        assert in_turn(turns[: number + 1], now) == found[: number + 1]
    offers = best_offers([part.pk for part in parts])
    for part in parts:
        anew = sum(
            line.to_order for told in found if told.on for line in told.lines if line.part_id == part.pk
        )
        for n in range(DAYS):
            day = today() + timedelta(days=n)
            gone = sum(
                turn.wants.get(part.pk, 0)
                for turn, told in zip(turns, found, strict=True)
                if told.on and max(told.on, turn.wanted_on or told.on) <= day
            )
            bought = anew if part.pk in offers and offers[part.pk].days <= n else 0
            assert gone <= max(0, balance(part, day)) + bought


def _a_turn(chance: random.Random, parts: list[Part]) -> Turn:
    wants = {part.pk: chance.randint(1, 4) for part in chance.sample(parts, chance.randint(1, 3))}
    return Turn(wants, chance.choice([None, None, today() + timedelta(days=chance.randint(1, 30))]))
