"""A back-test of kits in words and columns, for a terminal, and as plain values, for a machine."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from decimal import Decimal
from typing import Any

from .kit_policies import KitBackTest
from .kits import KitReplay

LEGEND = (
    "complete: the share of kits shipped whole at once. money: what lay on the shelves on average, set aside",
    "or not. wait: the mean days until a kit shipped. loose: the share of pieces sold by themselves at once.",
    "Lead times, prices and packs are today's for all of them; demand is learnt from the first months only.",
)


def plain_kits(found: KitBackTest) -> dict[str, Any]:
    """All of it, for JSON."""
    return {
        "wanted": found.wanted,
        "months_learnt": found.learnt,
        "months_replayed": found.replayed,
        "parts": found.parts,
        "policies": [
            {
                "policy": one.policy,
                "at_our_money": _plain(one.replay),
                "at_our_share": _plain(one.as_many_kits),
            }
            for one in found.outcomes
        ],
    }


def lines_of_kits(found: KitBackTest) -> Iterator[str]:
    """The policies with as much money as ours, and what as many kits would cost with the others."""
    ours, *others = found.outcomes
    yield (
        f"{ours.replay.kits} kits of {found.parts} parts in {found.replayed} months, after {found.learnt} to "
        f"learn from; {found.wanted:.1%} wanted complete from stock."
    )
    yield ""
    yield f"{'with as much money':<34}{'complete':>9}{'money':>13}{'wait':>7}{'loose':>8}"
    yield _row(ours.policy, ours.replay)
    for one in others:
        dearer = "  at its least" if one.replay.cents > ours.replay.cents else ""
        yield f"{_row(one.policy, one.replay)}{dearer}"
    yield ""
    yield f"{'with as many kits':<34}{'complete':>9}{'money':>13}{'wait':>7}{'loose':>8}"
    yield _row(ours.policy, ours.replay)
    for one in others:
        if one.as_many_kits is None:
            yield f"{one.policy:<34} does not reach it"
        else:
            more = one.as_many_kits.cents / ours.replay.cents - 1 if ours.replay.cents else 0.0
            yield f"{_row(one.policy, one.as_many_kits)}  {more:+.0%}"
    yield ""
    yield from LEGEND


def _row(policy: str, one: KitReplay) -> str:
    money = f"{Decimal(round(one.cents)).scaleb(-2):,.2f}"
    loose = f"{one.served / one.pieces:.1%}" if one.pieces else "-"
    return f"{policy:<34}{one.share:>9.1%}{money:>13}{one.wait_days:>7.1f}{loose:>8}"


def _plain(one: KitReplay | None) -> dict[str, Any] | None:
    return None if one is None else {**asdict(one), "share": one.share}
