"""Small made-up shops for the tests of whole-kit targets, and every set of levels they can have."""

from collections.abc import Iterator
from itertools import product
from typing import NamedTuple

from hypothesis import strategies as st

from inventory.planning.kit_targets import KitDemand, KitPart, Need, Option
from inventory.planning.kit_targets.book import Book
from inventory.planning.kit_targets.judging import Judge


class Shop(NamedTuple):
    parts: list[KitPart[str]]
    kits: list[KitDemand[str]]


@st.composite
def shops(draw: st.DrawFn, kits: int = 2, shapes: bool = False, limits: bool = False) -> Shop:
    """Up to four parts in up to `kits` kits; `shapes`: packs, spread lead times, choices and clumps too."""
    names = "abcd"[: draw(st.integers(1, 4))]
    leads = st.sampled_from([10.0, 20.0, 40.0])
    spread = leads.map(lambda days: {days: 0.75, 2 * days: 0.25})
    parts = [
        KitPart(
            name,
            draw(st.sampled_from([100, 300, 1_000, 5_000])),
            draw(leads | spread if shapes else leads),
            pack=draw(st.integers(1, 4)) if shapes else 1,
            least=draw(st.integers(0, 2)) if limits else 0,
            most=draw(st.none() | st.integers(2, 9)) if limits else None,
        )
        for name in names
    ]
    needs = st.builds(Need, st.sampled_from([1, 1, 2, 3]), st.sampled_from([1.0, 1.0, 0.5, 0.25]))
    made = []
    for number in range(draw(st.integers(1, kits))):
        choices = []
        if shapes and len(names) > 1 and draw(st.booleans()):
            choices = [[Option(0.7, {names[0]: 1}), Option(0.3, {names[1]: 2})]]
        ratio = draw(st.sampled_from([1.0, 1.5, 2.5])) if shapes else 1.0
        wanted = draw(st.dictionaries(st.sampled_from(names), needs, min_size=1))
        made.append(
            KitDemand(f"kit {number}", draw(st.sampled_from([4.0, 12.0, 30.0])), wanted, choices, ratio)
        )
    return Shop(parts, made)


def all_levels(shop: Shop, highest: int = 6) -> Iterator[dict[str, int]]:
    """Every set of levels up to `highest`, and within the limits of each part."""
    ranges = [
        range(one.least, (highest if one.most is None else min(highest, one.most)) + 1) for one in shop.parts
    ]
    for levels in product(*ranges):
        yield {one.part: level for one, level in zip(shop.parts, levels, strict=True)}


def judged(shop: Shop, choices: Iterator[dict[str, int]]) -> list[tuple[float, float]]:
    """(cents, share by the better measure) of each of these sets of levels."""
    judge = Judge(Book(shop.parts, shop.kits), [one.least for one in shop.parts])
    result = []
    for levels in choices:
        judge.move_all(judge.book.levels(levels))
        result.append((judge.money, judge.share))
    return result
