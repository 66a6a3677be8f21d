"""Why a target is what it is: the facts, and one sentence that a buyer understands."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from inventory.planning.lead_times import LeadTime

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from .columns import ManyTargets, PartColumns

    Floats = NDArray[np.float64]

BUSY = 0.95  # a month in 20 has more


@dataclass(frozen=True)
class Why:
    """The facts behind a target.

    a_month: mean demand of a twelfth of a year; empty_months: the share of them without any; busy_month: the
    quantity that only one month in twenty exceeds. protected_days: lead time and review; asked_meanwhile:
    the mean demand over them. wanted is of `wanted_what`; lot says why the lot is of its size; room whether
    the shelf held the wanted service; lasts_days: of a last buy, the rest of the part's life.
    """

    a_month: float
    empty_months: float
    busy_month: int
    lead_days: float
    late_share: float
    lead_source: str
    protected_days: float
    asked_meanwhile: float
    wanted: float
    wanted_what: str
    lot: str
    room: bool
    lasts_days: float | None
    sentence: str


def why(parts: PartColumns, found: ManyTargets, month: Floats, lead: LeadTime, supplier: str) -> Why:
    """The reasons of the first part; `month` is the distribution of a month's demand."""
    import numpy as np

    a_day = float(parts.mean[0] / parts.period_days[0])
    by_fill = bool(np.isnan(parts.cycle_service[0]))
    protected = lead.mean_days + float(parts.review_days[0])
    life = None if np.isnan(parts.life_days[0]) else float(parts.life_days[0])
    busy = int(np.argmax(np.cumsum(month) >= BUSY))
    return Why(
        a_day * 365 / 12, float(month[0]), busy, lead.mean_days, lead.late_share, lead.source,
        protected, a_day * protected, float((parts.fill_rate if by_fill else parts.cycle_service)[0]),
        "fill rate" if by_fill else "cycle service", why_lot(parts, found), bool(found.reached[0]), life,
        sentence(parts, found, (float(month[0]), busy), lead, supplier),
    )  # fmt: skip


def why_lot(parts: PartColumns, found: ManyTargets, row: int = 0) -> str:
    """Why the lot of the part in `row` is of its size."""
    a_day = float(parts.mean[row] / parts.period_days[row])
    lot, pack, least = int(found.order_quantity[row]), int(parts.pack[row]), int(parts.least[row])
    if not lot:
        return "nothing to order"
    if parts.life_days[row] >= 0:
        return "one purchase for the rest of its life"
    for start, cents in zip(parts.starts[row, 1:].tolist(), parts.cents[row, 1:].tolist(), strict=True):
        if start and lot == -(-start // pack) * pack:
            return f"the price of {cents / 100:.2f} from {start} on"
    if lot == -(-max(least, pack) // pack) * pack:
        if least > pack:
            return f"the supplier's least order of {least}"
        return "one at a time" if pack == 1 else f"one pack of {pack}"
    if int(found.reorder_at[row]) + lot + pack > int(parts.shelf_limit[row]):
        return "as many as the shelf holds"
    lasts = f"for {_number(lot / a_day * 12 / 365)} months"
    if lot + pack > a_day * parts.most_lot_days[row]:
        return f"{lasts}, and no lot is for longer"
    return f"the cheapest lot, {lasts}"


def sentence(
    parts: PartColumns,
    found: ManyTargets,
    month: tuple[float, int],
    lead: LeadTime,
    supplier: str,
    row: int = 0,
) -> str:
    """The sentence on the part in `row`; `month` is the share of months without any, and the busy month."""
    a_month = float(parts.mean[row] / parts.period_days[row]) * 365 / 12
    quantity, limit = int(found.order_quantity[row]), int(parts.shelf_limit[row])
    life = float(parts.life_days[row])
    if life == 0 or not a_month:
        return f"{'Nobody asks for it any more' if life == 0 else 'Nothing was asked for'}: keep none."
    served = f"{_of_100(float(found.fill_rate[row]))} of 100 pieces"
    if life > 0:
        said = (
            f"About {_number(a_month * life * 12 / 365)} more will be asked for in {_days(life)}; "
            f"{quantity} bought once, less what is there, serve {served}."
        )
    else:
        keep = f"{int(found.reorder_at[row])} on hand when ordering"
        service = (
            f"{keep} keep {served} served"
            if parts.fill_rate[row] > 0
            else f"{keep} last until the delivery {_of_100(float(found.cycle_service[row]))} times of 100"
        )
        said = f"{_pace(a_month, *month)}; {_lead(lead, supplier)}; {service}."
    return said if found.reached[row] else f"{said} The shelf holds {limit}, too few for what is wanted."


def _pace(a_month: float, empty: float, busy: int) -> str:
    """Sells about 1.4 a month, mostly none, sometimes 3."""
    said = f"{_number(a_month)} a month" if a_month >= 0.5 else f"{_number(a_month * 12)} a year"
    mostly = ", mostly none" if empty > 0.5 else ""
    return f"Sells about {said}{mostly}{f', sometimes {busy}' if busy > a_month + 1 else ''}"


def _lead(lead: LeadTime, supplier: str) -> str:
    """Corran takes 21 days, 1 in 5 late."""
    said = f"{supplier} takes {_days(lead.mean_days)}"
    if not lead.receipts:
        return f"{said} ({lead.source})"
    late = Fraction(lead.late_share).limit_denominator(10)
    if not late:
        return f"{said}, {'hardly ever' if lead.late_share else 'never'} late"
    return f"{said}, {'always' if late == 1 else f'{late.numerator} in {late.denominator}'} late"


def _of_100(share: float) -> str:
    """Rounded down, as a service is not to be told better than it is; above 99 with a tenth."""
    tenths = 10 if share > 0.99 else 1
    return f"{int(share * 100 * tenths + 1e-6) / tenths:g}"


def _number(value: float) -> str:
    return f"{value:.0f}" if value >= 10 else f"{value:.1f}".removesuffix(".0")


def _days(days: float) -> str:
    return "1 day" if round(days) == 1 else f"{days:.0f} days"
