"""The sentence for the buyer."""

from inventory.planning.kit_targets import KitTargets, Money, Why, explain


def told(why: Why) -> str:
    targets = KitTargets({"S-12": why.level}, Money.ON_HAND, 0, 0.9, {}, [], {"S-12": why})
    return explain(targets, "S-12", name="spacer 12 mm", currency="€")


def test_it_says_why_and_what_one_more_or_fewer_would_do() -> None:
    assert told(Why(4, 0.987, 0.84, 1230, 2.06, 1190)) == (
        "Keep 4 of spacer 12 mm: 98.7% of the kits that need it find it there. "
        "One more would complete 0.8 kits more a year, and tie up €12.30 more. "
        "One fewer would lose 2.1 kits a year, and free €11.90."
    )


def test_it_says_where_one_cannot_have_more_or_fewer() -> None:
    assert told(Why(2, 0.5, None, None, None, None)) == (
        "Keep 2 of spacer 12 mm: 50.0% of the kits that need it find it there. "
        "More would not help, or would not fit the shelf. Fewer are not allowed."
    )


def test_it_says_when_none_is_kept() -> None:
    assert told(Why(0, 0.0, 0.01, 5, None, None)) == (
        "Keep no spacer 12 mm in stock: 0.0% of the kits that need it are served without. "
        "One more would complete hardly a kit more a year, and tie up €0.05 more."
    )
