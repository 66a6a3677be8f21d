"""Small made-up kits and shelves, and all that can be built of them by trying every way."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from functools import cache
from itertools import combinations_with_replacement, product

from hypothesis import strategies as st

from inventory.planning import Filling, Slot, Template

PARTS = ("belt", "hub", "nut")

fillings = st.dictionaries(st.sampled_from(PARTS), st.integers(1, 3), min_size=1, max_size=2).map(Filling)
slots = st.tuples(st.lists(fillings, min_size=1, max_size=2), st.integers(1, 2))
worths: st.SearchStrategy[int | Decimal] = st.sampled_from((1, 2, 3)) | st.sampled_from(
    (Decimal("0.50"), Decimal("2.25"))
)
stocks = st.fixed_dictionaries(dict.fromkeys(PARTS, st.integers(0, 6)))


@st.composite
def templates(draw: st.DrawFn) -> list[Template]:
    return [
        Template(
            f"kit {number}",
            [
                Slot(f"slot {n}", *slot)
                for n, slot in enumerate(draw(st.lists(slots, min_size=1, max_size=2)))
            ],
            draw(worths),
            draw(st.none() | st.integers(0, 2)),
        )
        for number in range(draw(st.integers(1, 2)))
    ]


def ways(template: Template) -> Iterator[tuple[int, ...]]:
    """All that one kit may take, in pieces of PARTS."""
    per_slot = [list(combinations_with_replacement(slot.fillings, slot.times)) for slot in template.slots]
    for chosen in product(*per_slot):
        used = [filling.pieces for together in chosen for filling in together]
        yield tuple(sum(pieces.get(part, 0) for pieces in used) for part in PARTS)


def all_plans(stock: Mapping[str, int], kits: Sequence[Template]) -> set[tuple[int, ...]]:
    """Every number of each kit that can be built, one kit after the other."""
    takes = [set(ways(template)) for template in kits]

    @cache
    def after(left: tuple[int, ...], built: tuple[int, ...]) -> None:
        plans.add(built)
        for number, template in enumerate(kits):
            if template.most is not None and built[number] >= template.most:
                continue
            for take in takes[number]:
                rest = tuple(have - want for have, want in zip(left, take, strict=True))
                if min(rest) >= 0:
                    after(rest, (*built[:number], built[number] + 1, *built[number + 1 :]))

    plans: set[tuple[int, ...]] = set()
    after(tuple(stock[part] for part in PARTS), (0,) * len(kits))
    return plans


def worth(plan: Sequence[int], kits: Sequence[Template]) -> Decimal:
    return sum((number * Decimal(kit.worth) for number, kit in zip(plan, kits, strict=True)), Decimal(0))


def best(stock: Mapping[str, int], kits: Sequence[Template]) -> Decimal:
    return max(worth(plan, kits) for plan in all_plans(stock, kits))


def splits(number: int, into: int) -> Iterator[tuple[int, ...]]:
    """All ways to write `number` as a sum of so many."""
    if into == 1:
        yield (number,)
        return
    for first in range(number + 1):
        yield from ((first, *rest) for rest in splits(number - first, into - 1))
