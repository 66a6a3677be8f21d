"""Which bins to count today, and why: by class of value, sooner where there is cause for doubt.

Classes A, B and C by cumulative yearly value, with a counting interval to each, are common practice, no
source. The score of risk is our own, and is written out at `due_for_count`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from math import lcm

from .demand.classes import by_share
from .figures import plain_day, whole
from .ordering import PlanningError

CLASSES = ("A", "B", "C")
A_PERCENT, B_PERCENT = 80, 95
A_DAYS, B_DAYS, C_DAYS = 30, 90, 365


@dataclass(frozen=True)
class Doubt:
    """What each cause for doubt adds to the urgency, in counting intervals of the class."""

    reported: Fraction = Fraction(1)  # for each time that somebody found too few there
    differed: Fraction = Fraction(1, 2)  # once, when the last count differed from the ledger
    moved: Fraction = Fraction(1, 100)  # for each movement in or out


@dataclass(frozen=True)
class Countable:
    """One part (or lot) in one place. `key` is the caller's own name for it.

    `yearly_value` is what goes through the shop of the whole part in a year, in money: the same for all
    places of a part. `moved` and `reported` count since the last count; `counted_on` None is never.
    """

    key: int
    part: int
    yearly_value: Decimal
    pieces: int
    counted_on: date | None = None
    last_difference: int = 0
    moved: int = 0
    reported: int = 0


@dataclass(frozen=True)
class DueCount:
    """`urgency` is in intervals of its class: 1 is just due, 2 is one whole interval too late."""

    key: int
    value_class: str
    urgency: Fraction
    why: str


def classes_by_value(
    yearly_values: Mapping[int, Decimal], *, a_percent: int = A_PERCENT, b_percent: int = B_PERCENT
) -> dict[int, str]:
    """A, B or C for each part, by its share of all that goes through the shop in a year, exactly.

    The rule is `demand.by_share`; the lower number stands first where values tie.
    """
    import numpy as np

    if not 0 < a_percent <= b_percent <= 100:
        raise PlanningError(f"Classes are cut at rising percentages up to 100, not {a_percent}, {b_percent}.")
    for part, value in yearly_values.items():
        if not isinstance(value, Decimal) or not value.is_finite() or value < 0:
            raise PlanningError(f"The yearly value of part {part}: an amount of money, not {value!r}.")
    parts = sorted(yearly_values)
    ratios = [yearly_values[part].as_integer_ratio() for part in parts]
    unit = lcm(*(below for _, below in ratios))
    # Whole numbers of Python's, which know no greatest one.
    column = np.array([above * (unit // below) for above, below in ratios], np.object_)
    classes = by_share(column, Fraction(a_percent, 100), Fraction(b_percent, 100))
    return dict(zip(parts, classes.tolist(), strict=True))


def due_for_count(
    countables: Sequence[Countable],
    today: date,
    *,
    a_percent: int = A_PERCENT,
    b_percent: int = B_PERCENT,
    days: tuple[int, int, int] = (A_DAYS, B_DAYS, C_DAYS),
    doubt: Doubt | None = None,
) -> list[DueCount]:
    """What is due for a count by `today`, the most urgent first, each with the reason as a sentence.

    The urgency is the days since the last count over the interval of the class (never counted: 1),
    and to it comes, by `doubt`: 1 for each time that somebody reported too few there, 1/2 when the last
    count differed, 1/100 for each movement since. Due is what reaches 1. Ties: A before B before C,
    then the greater yearly value, then fewer pieces (they are counted sooner), then the lower key.
    """
    for interval in days:
        whole(interval, "Days between counts", 1)
    plain_day(today, "Today")
    doubt = doubt or Doubt()
    classes = classes_by_value(_values(countables), a_percent=a_percent, b_percent=b_percent)
    due = []
    for one in countables:
        value_class = classes[one.part]
        interval = days[CLASSES.index(value_class)]
        urgency = _urgency(one, today, interval, doubt)
        if urgency >= 1:
            found = DueCount(one.key, value_class, urgency, _why(one, value_class, today, interval))
            due.append(((-urgency, value_class, -one.yearly_value, one.pieces, one.key), found))
    return [found for _, found in sorted(due, key=lambda pair: pair[0])]


def _values(countables: Sequence[Countable]) -> dict[int, Decimal]:
    """The yearly value of each part, after a look at every figure."""
    values: dict[int, Decimal] = {}
    keys = set()
    for one in countables:
        whole(one.pieces, "Pieces in a place")
        whole(one.moved, "Movements since the last count")
        whole(one.reported, "Times that too few were reported")
        if type(one.last_difference) is not int:
            raise PlanningError(f"A difference is a whole number of pieces, not {one.last_difference!r}.")
        if values.setdefault(one.part, one.yearly_value) != one.yearly_value:
            raise PlanningError(f"Part {one.part} has two yearly values: give the part's in each place.")
        keys.add(one.key)
    if len(keys) != len(countables):
        raise PlanningError("Every thing to count needs a key of its own.")
    return values


def _urgency(one: Countable, today: date, interval: int, doubt: Doubt) -> Fraction:
    return (
        _age(one, today, interval)
        + one.reported * doubt.reported
        + (doubt.differed if one.last_difference else 0)
        + one.moved * doubt.moved
    )


def _age(one: Countable, today: date, interval: int) -> Fraction:
    if one.counted_on is None:
        return Fraction(1)
    if plain_day(one.counted_on, "The day of the last count") > today:
        raise PlanningError(f"A last count on {one.counted_on} lies after today, {today}.")
    return Fraction((today - one.counted_on).days, interval)


def _why(one: Countable, value_class: str, today: date, interval: int) -> str:
    """Such as: Class A, every 30 days: last counted 41 days ago; 2 reports of too few; 6 movements since."""
    if one.counted_on is None:
        said = ["never counted"]
    else:
        said = [f"last counted {_number((today - one.counted_on).days, 'day')} ago"]
    if one.reported:
        said.append(f"{_number(one.reported, 'report')} of too few")
    if one.last_difference:
        said.append(f"off by {one.last_difference:+d} last time")
    if one.moved:
        said.append(f"{_number(one.moved, 'movement')} since")
    return f"Class {value_class}, every {_number(interval, 'day')}: {'; '.join(said)}."


def _number(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
