"""The fit core by itself: chains, a simulation, and every verdict of a large kit. No database."""

import time
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from random import Random
from typing import Final

from kits.conversion import (
    CandidateRead,
    CheckRead,
    Conversion,
    PartRead,
    SlotRead,
    TermRead,
    Value,
    filled_with,
)
from kits.evaluating import forget
from kits.fit import Band, Chain, Length, Link, Wanted
from kits.whatif import WhatIf

from .table import Row, timings

CHAINS, LINKS, DRAWS = 10_000, 10, 1_000_000
SLOTS, CANDIDATES = 20, 30
MM: Final = 100_000
LENGTH_FEATURE: Final = 1


def run() -> list[Row]:
    return [*_chains(), *_simulated(), *_large_kit()]


def _times(what: str, work: Callable[[], object], rounds: int) -> Row:
    work()
    seconds = []
    for _round in range(rounds):
        started = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - started)
    return timings(what, seconds)


def _chain(chance: Random) -> Chain:
    return Chain(
        Link(f"link {i}", chance.choice((1, -1)), _band(chance, chance.randint(1, 60) * MM))
        for i in range(LINKS)
    )


def _band(chance: Random, size: int) -> Band:
    return Band.around(Length(size), Length(chance.randint(500, 5_000)))


def _chains() -> list[Row]:
    chance = Random(1)
    chains = [_chain(chance) for _ in range(CHAINS)]
    return [
        _times(
            f"{CHAINS:,} chains of {LINKS} links: worst case",
            lambda: [chain.worst_case() for chain in chains],
            5,
        ),
        _times(f"{CHAINS:,} chains of {LINKS} links: RSS", lambda: [chain.rss() for chain in chains], 5),
    ]


def _simulated() -> list[Row]:
    chain = _chain(Random(2))
    return [
        _times(
            f"{DRAWS:,} draws of a chain of {LINKS} links, normal", lambda: chain.monte_carlo(DRAWS, 1), 5
        ),
        _times(
            f"{DRAWS:,} draws of a chain of {LINKS} links, uniform",
            lambda: chain.monte_carlo(DRAWS, 1, "uniform"),
            5,
        ),
    ]


def _large_kit() -> list[Row]:
    conversion = _conversion(Random(3))
    fills = conversion.default_fills()

    def every_verdict() -> None:
        whatif = WhatIf(conversion, fills)
        for slot in conversion.slots:
            for candidate in slot.candidates:
                whatif.swapped(slot, filled_with(slot, candidate))

    def from_nothing() -> None:
        forget()
        every_verdict()

    what = f"{SLOTS} slots of {CANDIDATES} candidates, {len(conversion.checks)} checks: every verdict"
    return [
        _times(f"{what}, never asked before", from_nothing, 5),
        _times(f"{what}, again", every_verdict, 9),
    ]


def _conversion(chance: Random) -> Conversion:
    """Each slot in two chains of four slots, wanted so that about half of the candidates are right."""
    parts = {
        slot * CANDIDATES + i: _part(chance, slot * CANDIDATES + i)
        for slot in range(SLOTS)
        for i in range(CANDIDATES)
    }
    slots = tuple(_slot(slot, [slot * CANDIDATES + i for i in range(CANDIDATES)]) for slot in range(SLOTS))
    checks = tuple(
        _check(number, [(start + k) % SLOTS for k in range(4)])
        for number, start in enumerate(range(0, SLOTS, 2))
    )
    return Conversion(
        revision_id=1, template="benchmark", engine_id=1, engine="engine B-1", attributes={},
        engine_values={}, slots=slots, parts=parts, checks=checks, rules=(), works={},
    )  # fmt: skip


def _part(chance: Random, number: int) -> PartRead:
    band = _band(chance, 20 * MM + chance.randint(-MM, MM))
    value = Value("length", band.lo.units, band.hi.units, band, "drawing")
    return PartRead(
        number, f"B-{number}", f"B{number}", "part", "Aldwen", "aldwen", 1, "bench", Decimal(10), False, 1,
        "", False, {LENGTH_FEATURE: value},
    )  # fmt: skip


def _slot(number: int, part_ids: list[int]) -> SlotRead:
    candidates = tuple(
        CandidateRead(f"B-{part}", part == part_ids[0], None, None, None, None, ((part, 1),))
        for part in part_ids
    )
    return SlotRead(number, f"slot-{number}", f"slot {number}", True, 1, False, False, "", candidates, ())


def _check(number: int, slots: list[int]) -> CheckRead:
    terms = tuple(
        TermRead(slot, LENGTH_FEATURE, "length", None, "", sign, Fraction(1), "link")
        for slot, sign in zip(slots, (1, 1, -1, -1), strict=True)
    )
    wanted = Wanted(Length(-MM), Length(MM))
    return CheckRead(number, f"gap-{number}", "chain", f"gap {number}", wanted, (), None, "", terms)
