"""Kits sold again, held to a shop run by hand: piles of pieces, customers in a queue, a calendar."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.planning import PlanningError
from inventory.planning.backtest import (
    Asked,
    Kept,
    KitReplay,
    PastKits,
    Shelf,
    backtest_kits,
    lines_of_kits,
    plain_kits,
    replay_kits,
)
from inventory.planning.kit_targets import KitSale
from inventory.planning.lead_times import LeadColumns, fixed
from inventory.planning.targets import part_columns

PARTS = ("ring", "seal", "bolt")


@dataclass
class Customer:
    day: int
    kits: int
    missing: dict[str, int]
    had: dict[str, int] = field(default_factory=dict)
    shipped: int | None = None


@dataclass
class ByHand:
    """Piece by piece: what comes goes to whoever waits longest, what is set aside lies there until all is."""

    shelves: list[Shelf[str]]
    levels: dict[str, Kept]
    free: dict[str, int] = field(default_factory=dict)
    coming: list[tuple[int, str, int]] = field(default_factory=list)
    customers: list[Customer] = field(default_factory=list)

    def waiting(self, part: str) -> list[Customer]:
        return [one for one in self.customers if one.missing.get(part)]

    def order(self, day: int) -> None:
        for shelf in self.shelves:
            part, level = shelf.part, self.levels[shelf.part]
            owed = sum(one.missing[part] for one in self.waiting(part))
            position = self.free[part] - owed + sum(n for _, name, n in self.coming if name == part)
            low = position <= level.reorder_at if level.up_to else position < 0
            if day % shelf.review_days == 0 and low:
                quantity = 0
                while position + quantity < level.up_to or quantity < shelf.least:
                    quantity += shelf.pack
                self.coming.append((day + next(iter(shelf.leads)), part, quantity))

    def receive(self, day: int) -> None:
        for one in [one for one in self.coming if one[0] <= day]:
            self.coming.remove(one)
            self.free[one[1]] += one[2]
            self.hand_out(one[1])

    def hand_out(self, part: str) -> None:
        for one in self.waiting(part):
            while one.missing[part] and self.free[part]:
                one.missing[part] -= 1
                one.had[part] = one.had.get(part, 0) + 1
                self.free[part] -= 1

    def serve(self, order: Asked[str]) -> None:
        self.customers.append(Customer(order.day, order.kits, dict(order.parts)))
        for part in order.parts:
            self.hand_out(part)

    def ship(self, day: int) -> None:
        for one in self.customers:
            if one.shipped is None and not any(one.missing.values()):
                one.shipped = day

    def worth(self) -> int:
        aside = [one for one in self.customers if one.shipped is None]
        return sum(
            shelf.cents * (self.free[shelf.part] + sum(one.had.get(shelf.part, 0) for one in aside))
            for shelf in self.shelves
        )


def by_hand(
    shelves: list[Shelf[str]], asked: list[Asked[str]], levels: dict[str, Kept], days: int, since: int
) -> KitReplay:
    shop = ByHand(shelves, levels, {shelf.part: levels[shelf.part].up_to for shelf in shelves})
    evenings = []
    for day in range(days):
        shop.order(day)
        shop.receive(day)
        for order in asked:
            if order.day == day:
                shop.serve(order)
        shop.ship(day)
        if day >= since:
            evenings.append(shop.worth())
    counted = [one for one in shop.customers if one.day >= since]
    kits = sum(one.kits for one in counted)
    loose = [one for one in counted if not one.kits]
    waits = sum(one.kits * ((days if one.shipped is None else one.shipped) - one.day) for one in counted)
    return KitReplay(
        kits,
        sum(one.kits for one in counted if one.shipped == one.day),
        sum(sum(one.had.values()) + sum(one.missing.values()) for one in loose),
        sum(sum(one.had.values()) for one in loose if one.shipped == one.day),
        sum(evenings) / max(1, len(evenings)),
        waits / kits if kits else 0.0,
    )


pieces = st.dictionaries(st.sampled_from(PARTS), st.integers(1, 3), min_size=1)
orders = st.builds(Asked, day=st.integers(0, 29), kits=st.integers(0, 3), parts=pieces)


@st.composite
def shelves_and_levels(draw: st.DrawFn) -> tuple[list[Shelf[str]], dict[str, Kept]]:
    shelves, levels = [], {}
    for part in PARTS:
        lead, review = draw(st.integers(0, 9)), draw(st.sampled_from([1, 3, 7]))
        pack, least = draw(st.sampled_from([1, 4])), draw(st.sampled_from([1, 6]))
        shelves.append(Shelf(part, draw(st.integers(0, 50)), {lead: 1.0}, review, pack, least))
        reorder_at = draw(st.integers(0, 4))
        kept = Kept(reorder_at, reorder_at + draw(st.integers(1, 8)))
        levels[part] = draw(st.sampled_from([kept, Kept(0, 0)]))
    return shelves, levels


@settings(max_examples=150, deadline=None)
@given(shelves_and_levels(), st.lists(orders, max_size=12), st.sampled_from([0, 8]))
def test_a_replay_is_what_the_shop_would_have_seen(
    shop: tuple[list[Shelf[str]], dict[str, Kept]], asked: list[Asked[str]], since: int
) -> None:
    shelves, levels = shop
    asked = sorted(asked, key=lambda order: order.day)
    found = replay_kits(shelves, asked, levels, days=30, counted_from=since)
    expected = by_hand(shelves, asked, levels, 30, since)
    assert (found.kits, found.complete, found.pieces, found.served) == (
        expected.kits,
        expected.complete,
        expected.pieces,
        expected.served,
    )
    assert found.cents == pytest.approx(expected.cents)
    assert found.wait_days == pytest.approx(expected.wait_days)


def test_one_piece_short_of_a_kit_is_a_kit_short() -> None:
    shelves = [Shelf("ring", 100, {5: 1.0}, 1), Shelf("seal", 10, {5: 1.0}, 1)]
    asked = [Asked(0, 1, {"ring": 1, "seal": 1}), Asked(0, 1, {"ring": 1, "seal": 1})]
    found = replay_kits(shelves, asked, {"ring": Kept(1, 2), "seal": Kept(0, 1)}, days=10)
    assert (found.kits, found.complete) == (2, 1)
    # The second seal is ordered the next morning; both rings of 100 are there until that kit ships.
    assert found.wait_days == 3.0


KIT = {"pump": 1, "belt": 1, "bolt": 6}
CENTS = {"pump": 40_000, "belt": 900, "bolt": 15}
SPLIT, UNTIL = date(2024, 7, 1), date(2026, 1, 1)
LEAD = {"pump": 45, "belt": 7, "bolt": 10}


def a_past(*, seed: int = 2, a_month: float = 6.0) -> PastKits[str]:
    """Three years of one kit of a dear, a cheap and a very cheap part; the belt is sold by itself as well."""
    drawn = np.random.default_rng(seed)
    sales: list[KitSale[str]] = []
    loose: list[tuple[str, date, int]] = []
    for month in range(36):
        first = date(2023 + month // 12, month % 12 + 1, 1)
        sales += [
            KitSale("belt-front", first + timedelta(int(day)), 1, KIT)
            for day in drawn.integers(28, size=drawn.poisson(a_month))
        ]
        loose += [("belt", first + timedelta(int(drawn.integers(28))), 1) for _ in range(drawn.poisson(3))]
    names = list(KIT)
    leads = [fixed(LEAD[name]) for name in names]
    columns = part_columns(
        mean=np.zeros(3),
        variance=0.0,
        period_days=30,
        leads=LeadColumns.of(leads),
        review_days=7,
        fill_rate=0.95,
        cents=np.array([CENTS[name] for name in names]),
        order_cents=1500,
    )
    return PastKits(names, columns, leads, sorted(sales, key=lambda one: one.day), loose)


def test_for_as_much_money_whole_kit_targets_complete_more_kits_than_equal_service() -> None:
    """Four shops, since one past may be lucky. Seen: 92.8 % on average, against 83.2 %."""
    ours, equal = [], []
    for seed in range(4):
        found = backtest_kits(a_past(seed=seed), split=SPLIT, until=UNTIL, wanted=0.9)
        whole, *others = (one.replay for one in found.outcomes)
        ours.append(whole.share)
        equal.append(others[0].share)
        assert all(other.cents <= whole.cents for other in others)
        assert all(
            one.as_many_kits is None or one.as_many_kits.share >= whole.share for one in found.outcomes
        )
    assert sum(ours) / 4 > sum(equal) / 4 + 0.05


def test_it_is_told_in_words_and_in_figures() -> None:
    found = backtest_kits(a_past(), split=SPLIT, until=UNTIL, wanted=0.9)
    assert (found.learnt, found.replayed, found.parts) == (18, 18, 3)
    said = "\n".join(lines_of_kits(found))
    assert "18 months, after 18 to learn from; 90.0% wanted" in said and "with as many kits" in said
    assert [one["policy"] for one in plain_kits(found)["policies"]] == [one.policy for one in found.outcomes]


def test_the_future_is_not_known() -> None:
    """What is sold in the replay changes nothing in the levels: with other sales the shelves begin alike."""
    past = a_past()
    before = backtest_kits(past, split=SPLIT, until=UNTIL, wanted=0.9)
    few = [sale for sale in past.sales if sale.day < SPLIT or sale.day.day < 9]
    quiet = PastKits(past.names, past.columns, past.leads, few, past.loose)
    after = backtest_kits(quiet, split=SPLIT, until=UNTIL, wanted=0.9)
    assert after.outcomes[0].replay.cents > before.outcomes[0].replay.cents
    assert after.outcomes[0].replay.share >= before.outcomes[0].replay.share


def test_without_sales_there_is_nothing_to_learn_or_to_replay() -> None:
    past = a_past()
    with pytest.raises(PlanningError, match="to learn from"):
        backtest_kits(past, split=date(2023, 1, 1), until=date(2026, 1, 1), wanted=0.9)
    early = PastKits(
        past.names, past.columns, past.leads, [s for s in past.sales if s.day < date(2024, 1, 1)], past.loose
    )
    with pytest.raises(PlanningError, match="to replay"):
        backtest_kits(early, split=date(2024, 1, 1), until=date(2026, 1, 1), wanted=0.9)
