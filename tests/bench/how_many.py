"""How many kits from the shelves: a made-up shop of 20 templates and 150 parts, and the demo's."""

import random
import time
from collections.abc import Callable, Sequence
from functools import partial

from django.utils import timezone

from inventory.planning import Filling, Slot, Template, bottlenecks, most_kits
from kits.buildable import buildable
from kits.how_many import count_kits, how_many, stock_by_day

from .table import Row

TEMPLATES, PARTS, SHOPS = 20, 150, 3


def run() -> list[Row]:
    """Each figure is one run for each of a few shops, in seconds."""
    plans, ways = [], []
    for seed in range(1, SHOPS + 1):
        stock, templates = made_up(seed)
        plans.append(_seconds(partial(most_kits, stock, templates)))
        ways.append(_seconds(partial(bottlenecks, stock, templates)))
    return [
        _row(f"most kits of {TEMPLATES} templates, {PARTS} parts", plans),
        _row("their bottlenecks", ways),
        *_demo(),
    ]


def made_up(seed: int) -> tuple[dict[str, int], list[Template]]:
    """6 to 12 slots a template, one to four fillings each, all from the same parts."""
    dice = random.Random(seed)  # a shop, not a secret
    names = [f"part {number}" for number in range(PARTS)]
    templates = []
    for number in range(TEMPLATES):
        slots = [
            Slot(f"slot {n}", [Filling({one: dice.choice((1, 1, 1, 2, 4))}) for one in some])
            for n in range(dice.randint(6, 12))
            for some in [dice.sample(names, dice.randint(1, 4))]
        ]
        templates.append(Template(f"kit {number}", slots))
    return {name: dice.randint(0, 30) for name in names}, templates


def _demo() -> list[Row]:
    now = timezone.now()
    today = timezone.localdate(now)
    buildable()  # What compiling costs is measured elsewhere.
    read = _seconds(buildable)
    conversions = buildable()
    stock = stock_by_day(conversions, now, [today])[today]
    return [
        _row("read the demo's kits, compiled before", [read]),
        _row("count them for a day", [_seconds(partial(count_kits, conversions, stock))]),
        _row("and say what is in the way", [_seconds(partial(how_many, conversions, stock, today))]),
    ]


def _seconds(act: Callable[[], object]) -> float:
    start = time.perf_counter()
    act()
    return time.perf_counter() - start


def _row(what: str, seconds: Sequence[float]) -> Row:
    return Row(f"how many: {what}", ", ".join(f"{one:.2f} s" for one in seconds))
