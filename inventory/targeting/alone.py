"""The targets of parts by themselves: levels that serve the wanted share of pieces from the shelf."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from inventory.planning.lead_times import LeadColumns, LeadTime
from inventory.planning.ordering import PlanningError
from inventory.planning.targets import (
    ManyTargets,
    PartColumns,
    many_targets,
    months,
    part_columns,
    sentence,
    standings,
    why_lot,
)
from inventory.planning.targets.columns import NO_LIMIT

from .asked import MONTH_DAYS
from .bought import Bought, Fate
from .plan import Plan, Rates, reckoned
from .recommended import Recommended, lead_figures, money, not_bought, priced, share, terms_figures

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


def recommend(parts: Sequence[Bought], plan: Plan) -> list[Recommended]:
    """For each of these parts what it should have by itself, in their order.

    Raises PlanningError, which names the part, for one of which more is sold than can be reckoned.
    """
    some = reckoned(parts)
    found = {one.part_id: one for one in _naming(some, plan)} if some else {}
    return [found.get(part.part_id) or not_bought(part.part_id, _why_not(part)) for part in parts]


def _naming(parts: Sequence[Bought], plan: Plan) -> list[Recommended]:
    """All at once; only where that fails in halves, down to the first part that cannot be reckoned."""
    try:
        return _reckon(parts, plan)
    except PlanningError as error:
        if len(parts) == 1:
            raise PlanningError(f"{parts[0].number}: {error}") from error
        middle = len(parts) // 2
        return [*_naming(parts[:middle], plan), *_naming(parts[middle:], plan)]


def _why_not(part: Bought) -> str:
    if part.fate is Fate.SUPERSEDED:
        return f"Superseded by {part.successor}: buy that, which carries the demand of both."
    if part.fate is Fate.RUNS_OUT:
        return "It runs out, and nobody offers it any more: buy none."
    return "No longer sold: buy none."


def columns_of(parts: Sequence[Bought], plan: Plan, mean: Floats, variance: Floats) -> PartColumns:
    """How these parts are bought, with a demand of so much a month."""
    import numpy as np

    lives = [plan.life_days(part) for part in parts]
    columns = bought_columns(parts, [plan.lead(part) for part in parts], plan.rates, mean, variance)
    return replace(columns, life_days=np.array([np.nan if life is None else life for life in lives]))


def bought_columns(
    parts: Sequence[Bought], leads: Sequence[LeadTime], rates: Rates, mean: Floats, variance: Floats
) -> PartColumns:
    """The same for parts that go on."""
    import numpy as np

    terms = [part.terms for part in parts if part.terms]
    starts = np.zeros((len(parts), 1 + max((len(one.breaks) for one in terms), default=0)), np.int64)
    cents = np.full(starts.shape, np.nan)
    for row, one in enumerate(terms):
        for column, (start, price) in enumerate([(0, one.price), *one.breaks]):
            starts[row, column], cents[row, column] = start, float(price * 100)
    return part_columns(
        mean=mean,
        variance=variance,
        period_days=MONTH_DAYS,
        leads=LeadColumns.of(leads),
        review_days=np.array([one.review_days for one in terms]),
        fill_rate=rates.parts_from_stock,
        starts=starts,
        cents=cents,
        order_cents=rates.order_cents,
        holding_rate=rates.holding,
        pack=np.array([one.pack for one in terms]),
        least=np.array([one.least for one in terms]),
        shelf_limit=np.array([NO_LIMIT if part.most is None else part.most for part in parts]),
    )


def _reckon(parts: Sequence[Bought], plan: Plan) -> list[Recommended]:
    import numpy as np

    over = np.array([plan.over[part.part_id] for part in parts])
    columns = columns_of(parts, plan, over[:, 0], over[:, 1])
    found = many_targets(columns, nearest=True)
    telling = _Telling(plan, columns, found)
    return [telling.of(row, part) for row, part in enumerate(parts)]


class _Telling:
    """Turns the columns of a table of parts into levels, sentences and figures, part by part."""

    def __init__(self, plan: Plan, columns: PartColumns, found: ManyTargets) -> None:
        self.plan, self.columns, self.found = plan, columns, found
        self.empty, self.busy = months(columns)
        around = [found.reorder_at + step for step in (-1, 0, 1)]
        self.fills, self.worths = standings(columns, around, found.order_quantity)
        self.known = plan.asked.months_known

    def of(self, row: int, part: Bought) -> Recommended:
        lead, terms = self.plan.lead(part), part.terms
        assert terms is not None, "Only what somebody offers is reckoned."
        month = float(self.empty[row]), int(self.busy[row])
        first = sentence(self.columns, self.found, month, lead, terms.supplier, row)
        found = self.found
        figures = {
            "demand": self.demand(part),
            "lead": lead_figures(lead),
            "terms": terms_figures(terms),
            "fill_rate": share(float(found.fill_rate[row])),
            "cycle_service": share(float(found.cycle_service[row])),
            "money": money(float(found.money_cents[row])),
            "order_quantity": int(found.order_quantity[row]),
            "one_more": self._step(row, 1),
            "one_fewer": self._step(row, -1),
        }
        if (ends := self.plan.last_buys.get(part.part_id)) is not None:
            figures["last_buy"] = {"until": ends.isoformat()}
        levels = int(found.reorder_at[row]), int(found.up_to[row])
        facts = tuple(self._facts(row, part))
        why = (first, *facts, *self._one_more_said(row))
        return Recommended(part.part_id, *levels, why, figures=figures, facts=facts)

    def demand(self, part: Bought) -> dict[str, Any]:
        """Of an average month; what is in `over` is of the coming time alone."""
        asked, row = self.plan.asked, self.plan.asked.row_of[part.part_id]
        return {
            "mean": round(float(asked.forecasts.mean[row]), 4),
            "variance": round(float(asked.forecasts.variance[row]), 4),
            "method": str(asked.forecasts.method[row]),
            "kind": str(asked.kinds[row]),
            "abc": self.plan.classes[part.part_id],
            "months": int(self.known[row]),
            "borrowed": share(float(asked.forecasts.prior_share[row])),
        }

    def _step(self, row: int, step: int) -> dict[str, Any] | None:
        """What another reorder point would change; None where there is none, or nothing to reckon."""
        here, there = self.fills[1][row], self.fills[1 + step][row]
        if not (here >= 0 and there >= 0):
            return None
        cents = float(self.worths[1 + step][row] - self.worths[1][row])
        return {"money": money(cents), "share": share(float(there - here))}

    def _facts(self, row: int, part: Bought) -> list[str]:
        """Further sentences, each for itself."""
        said = []
        lot = int(self.found.order_quantity[row])
        if lot:
            price = priced(float(self.found.unit_cents[row]))
            said.append(f"Order {lot} at a time, at {price} each: {why_lot(self.columns, self.found, row)}.")
        if part.fate is Fate.RUNS_OUT:
            ends = self.plan.last_buys[part.part_id]
            until = f"what is asked until {ends:%-d %b %Y}"
            over = ends <= self.plan.today
            said.append(f"It runs out: the last buy {'was' if over else 'is'} for {until}.")
        borrowed = float(self.plan.asked.forecasts.prior_share[self.plan.asked.row_of[part.part_id]])
        if borrowed:
            said.append(
                f"It is new: {borrowed:.0%} of what is expected is borrowed from the kits it goes into."
            )
        return said

    def _one_more_said(self, row: int) -> list[str]:
        step = self._step(row, 1)
        if step is None or step["share"] <= 0:
            return []
        more = priced(float(step["money"]) * 100)
        return [
            f"One more would serve {step['share']:.1%} more of the pieces at once, and tie up {more} more."
        ]
