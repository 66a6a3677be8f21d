"""Whole-kit targets against the same service for every part, at the same money, in a simulated shop.

A made-up shop: three kits of a dozen parts each, of which some are shared, some optional, some sold loose;
a few dear parts, many cheap ones.
"""

from functools import cache

from inventory.planning.kit_targets import (
    KitDemand,
    KitPart,
    Money,
    Need,
    Simulated,
    kit_shares,
    kit_targets,
    simulate,
    together,
)
from inventory.planning.kit_targets.book import Book

COSTS = (95_000, 42_000, 18_000, 9_500, 4_200, 2_600, 1_500, 900, 420, 180, 60, 25)
LEADS = (60, 45, 45, 30, 30, 30, 21, 21, 14, 14, 10, 10)


def shop() -> tuple[list[KitPart[str]], list[KitDemand[str]]]:
    """Kit k has of each kind of part its own, but shares every third kind; bolts come by the six."""
    kits, parts = [], {}
    for number, a_year in enumerate((45.0, 25.0, 12.0)):
        needs = {}
        for kind, (cost, lead) in enumerate(zip(COSTS, LEADS, strict=True)):
            name = f"shared {kind}" if kind % 3 == 2 else f"kit {number} part {kind}"
            parts[name] = KitPart(name, cost, lead)
            needs[name] = Need(6 if cost < 100 else 1, 0.4 if kind in (4, 7) else 1.0)
        kits.append(KitDemand(f"kit {number}", a_year, needs))
    kits.append(KitDemand("loose", 30.0, {"shared 5": 1}, weight=0.0))
    return list(parts.values()), kits


def equal_service(book: Book[str], budget: float) -> dict[str, int]:
    """The levels with the same least availability for every part, as high as the budget pays."""
    best: list[int] = []
    for thousandth in range(1, 1_000):
        levels = [
            next(
                (
                    level
                    for level in range(row.top)
                    if all(
                        1 - book.pairs[pair].there[level] <= book.pairs[pair].taken * (1 - thousandth / 1_000)
                        for pair in row.users
                    )
                ),
                row.top,
            )
            for row in book.rows
        ]
        money = sum(float(row.money[level]) for row, level in zip(book.rows, levels, strict=True))
        if money > budget:
            break
        best = levels
    return {one.part: level for one, level in zip(book.parts, best, strict=True)}


@cache
def both(wanted: float) -> tuple[Simulated, Simulated]:
    """(with whole-kit targets, with equal service for at most the same money), the same orders for both."""
    parts, kits = shop()
    whole = kit_targets(parts, kits, wanted_share=wanted)
    equal = equal_service(Book(parts, kits, Money.ON_HAND), whole.money_cents)
    return tuple(simulate(parts, kits, at, years=400, seed=5) for at in (whole.levels, equal))  # type: ignore[return-value]  # Two of them.


def by_how_much(whole: Simulated, equal: Simulated) -> str:
    """What `pytest -rP` prints, and what a margin that is missed says."""
    points, error = 100 * (whole.share - equal.share), 100 * (whole.error**2 + equal.error**2) ** 0.5
    return (
        f"{whole.share:.1%} of kits complete against {equal.share:.1%}: {points:.1f} points more, standard "
        f"error {error:.1f}; on the shelves {whole.on_hand_cents / 100:,.2f} against "
        f"{equal.on_hand_cents / 100:,.2f}"
    )


def test_at_eighty_percent_whole_kit_targets_complete_far_more_kits_for_the_same_money() -> None:
    # Seen: 79.8 % against 57.9 %, standard error 0.5 points.
    whole, equal = both(0.8)
    print(by_how_much(whole, equal))  # noqa: T201  The margin is what the test is there to show.
    assert whole.share > equal.share + 0.18, by_how_much(whole, equal)


def test_at_ninety_percent_whole_kit_targets_complete_far_more_kits_for_the_same_money() -> None:
    # Seen: 90.0 % against 79.4 %, standard error 0.4 points.
    whole, equal = both(0.9)
    print(by_how_much(whole, equal))  # noqa: T201  The margin is what the test is there to show.
    assert whole.share > equal.share + 0.08, by_how_much(whole, equal)


def test_the_wanted_share_is_reached_in_the_simulation_and_not_by_much_more() -> None:
    for wanted in (0.8, 0.9):
        whole, _ = both(wanted)
        assert wanted - 3 * whole.error <= whole.share <= wanted + 0.04


def test_equal_service_ties_up_a_quarter_more_and_completes_fewer_kits_still() -> None:
    parts, kits = shop()
    book = Book(parts, kits, Money.ON_HAND)
    whole = kit_targets(parts, kits, wanted_share=0.9)
    budget = whole.money_cents * 1.25
    assert together(kit_shares(parts, kits, equal_service(book, budget)), kits).estimate < 0.9
