"""A back-test in words and columns, for a terminal, and as plain values, for a machine."""

from __future__ import annotations

from dataclasses import asdict
from decimal import Decimal
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator

    from .comparing import BackTest, Match
    from .figures import Outcome

LEGEND = (
    "pieces: the share served from the shelf. parts: the mean of the parts' own. months: those of a part",
    "without a piece short. short: the others. stock: pieces on the shelves on average. ours: its stock",
    "beside that of a policy set so high that it serves as well.",
)
BY = {"pieces": "of all pieces", "parts": "on the mean of the parts"}


def plain(found: BackTest) -> dict[str, Any]:
    """All of it, for JSON."""
    rules = found.rules
    return {
        "months_counted": found.periods,
        "parts_counted": found.parts,
        "wanted_fill": rules.wanted,
        "lead_chances": list(rules.lead),
        "review": rules.review,
        "refresh": rules.refresh,
        "warm_up": rules.warm_up,
        "least_sales": rules.least_sales,
        "short": "waits" if rules.waits else "lost",
        "seed": rules.seed,
        "policies": [_outcome(one) for one in found.outcomes],
        "at_equal_fill": [_match(one) for one in found.matches],
    }


def lines(found: BackTest, *, money: bool) -> Iterator[str]:
    """A table of the policies, and a table of the others at the fill rate of the first."""
    rules, first = found.rules, found.outcomes[0]
    yield (
        f"{found.parts} parts in {found.periods} months that count, {first.asked} pieces asked for; "
        f"{rules.wanted:.1%} wanted from the shelf."
    )
    yield (
        f"Lead time {rules.lead_mean:g} months, a review every {rules.review}, a forecast every "
        f"{rules.refresh}; what is short {'is waited for' if rules.waits else 'is lost'}."
    )
    yield ""
    yield _heading("policy", money)
    for one in found.outcomes:
        yield _row(one.policy, one, money)
    for by, words in BY.items():
        some = [match for match in found.matches if match.by == by]
        if some:
            yield ""
            yield _heading(f"same fill, {words}", money)
            yield _row(first.policy, first, money)
            yield from (_matched(match, first, money) for match in some)
    yield ""
    yield from LEGEND


def _heading(name: str, money: bool) -> str:
    head = f"{name:<51}{'pieces':>8}{'parts':>8}{'months':>8}{'short':>8}{'stock':>10}{'orders':>8}"
    return head + (f"{'stock worth':>14}{'cost':>14}" if money else "")


def _row(name: str, one: Outcome, money: bool) -> str:
    row = (
        f"{name:<51}{one.fill_rate:>8.1%}{one.parts_fill_rate:>8.1%}{one.cycle_service:>8.1%}"
        f"{one.stock_outs:>8}{one.stock:>10.1f}{one.orders:>8}"
    )
    return row + (f"{_money(one.stock_cents):>14}{_money(one.cost_cents):>14}" if money else "")


def _matched(match: Match, first: Outcome, money: bool) -> str:
    if match.outcome is None or match.stock_ratio is None:
        return f"{match.policy:<51}does not reach it"
    difference = match.stock_ratio - 1
    word = "less" if difference < 0 else "more"
    row = _row(f"{match.policy}, set to {match.outcome.wanted:.7%}", match.outcome, money)
    return f"{row}  {first.policy}: {abs(difference):.1%} {word}"


def _outcome(one: Outcome) -> dict[str, Any]:
    return {**asdict(one), "fill_rate": one.fill_rate}


def _match(one: Match) -> dict[str, Any]:
    reached = None if one.outcome is None else _outcome(one.outcome)
    return {"policy": one.policy, "by": one.by, "stock_ratio": one.stock_ratio, "reached": reached}


def _money(cents: int) -> str:
    return f"{Decimal(cents).scaleb(-2):,.2f}"
