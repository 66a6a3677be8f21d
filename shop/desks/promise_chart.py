"""How many pieces can be promised by which day, drawn as steps in the manner of our drawings.

Figures stand at the steps and order numbers below the day that brings them; nothing is told by colour,
and all is said once more in the text of the drawing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape

from inventory.planning import Available
from inventory.supplying import Coming
from kits.picturing.strokes import EDGE, WIDTH, Y, line, number, path, room, text, text_at
from kits.picturing.style import CLASS, hatch, hatches, style
from shop.desks.charts import Mark, marks, round_step

_TAG = "promise"
_LEFT, _RIGHT = EDGE + 26, WIDTH - EDGE
_HEIGHT = 112
_TOP = 20
_LEAST_DAYS, _MOST_DAYS = 28, 366
_TICKS = 4


@dataclass(frozen=True)
class _Scale:
    """From days and pieces to units of the drawing."""

    today: date
    days: int
    most: int
    tick: int

    def x(self, day: date) -> float:
        return _LEFT + (_RIGHT - _LEFT) * min((day - self.today).days / self.days, 1)

    def y(self, quantity: int) -> float:
        return _TOP + _HEIGHT * (1 - quantity / self.most)

    @property
    def foot(self) -> float:
        return _TOP + _HEIGHT


def draw_promise(promise: Available, coming: Sequence[Coming]) -> str:
    """The drawing as an SVG element without a fixed width, so that it fits a phone and a paper alike."""
    scale = _scale(promise, coming)
    parts = [*_rulings(scale), *_steps(promise, scale), *_days(scale)]
    y = Y(scale.foot + 22)
    parts += _marks(coming, scale, y)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {number(y.at + 4)}" role="img" '
        f'aria-labelledby="t-{_TAG} d-{_TAG}" class="{CLASS}"><title id="t-{_TAG}">Promise by date</title>'
        f'<desc id="d-{_TAG}">{escape(described(promise, coming))}</desc>'
        f"{style()}{hatches(_TAG)}{''.join(parts)}</svg>"
    )


def described(promise: Available, coming: Sequence[Coming]) -> str:
    """What the drawing shows, in words."""
    steps = list(zip(promise.days, promise.quantities, strict=True))
    said = [f"Today {steps[0][1]} can be promised" + "".join(f", from {day} {n}" for day, n in steps[1:])]
    said += [
        f"{one.line.order.number} brings {one.arrival.quantity}, counted on for {one.on}" for one in coming
    ]
    if promise.short:
        said.append(f"{promise.short} are promised already and covered by nothing")
    return "; ".join(said) + "."


def _scale(promise: Available, coming: Sequence[Coming]) -> _Scale:
    """A little beyond all that is known, four weeks at least, a year at the most."""
    last = max([*promise.days, *(one.on for one in coming)])
    days = max(_LEAST_DAYS, round((last - promise.today).days * 1.12))
    tick = int(round_step(promise.quantities[-1], _TICKS, least=1))
    most = tick * (promise.quantities[-1] // tick + 1)
    return _Scale(promise.today, min(days, _MOST_DAYS), most, tick)


def _rulings(scale: _Scale) -> list[str]:
    drawn = [text(EDGE, 10, "Pieces that can be promised more")]
    for quantity in range(0, scale.most, scale.tick):
        y = scale.y(quantity)
        drawn.append(line(_LEFT, y, _RIGHT, y, "ink thin" if quantity else "ink"))
        drawn.append(text(_LEFT - 5, y + 4, str(quantity), "small", "end"))
    return drawn


def _steps(promise: Available, scale: _Scale) -> list[str]:
    """The stepped edge, hatched below, with the figure over each step where there is room."""
    edge, figures, free_from = "", [], 0.0
    for day, quantity in zip(promise.days, promise.quantities, strict=True):
        x, y = scale.x(day), scale.y(quantity)
        edge += f"V{number(y)}H{number(x)}" if not edge else f"H{number(x)}V{number(y)}"
        if x >= free_from and x + room(str(quantity)) < _RIGHT:
            figures.append(text(x + 3, y - 4, str(quantity), "word"))
            free_from = x + room(str(quantity), "word") + 6
    start, end = f"M{_LEFT} {number(scale.y(promise.quantities[0]))}", f"H{_RIGHT}"
    filled = f"{start}{edge}{end}V{number(scale.foot)}H{_LEFT}Z"
    return [
        f'<path d="{filled}" fill="{hatch("rise-fine", _TAG)}" class="wall"/>',
        path(f"{start}{edge}{end}", "ink heavy"),
        *figures,
    ]


def _days(scale: _Scale) -> list[str]:
    """Today, and days at even steps of whole weeks."""
    weeks = max(1, -(-scale.days // (7 * 5)))
    drawn = []
    for days in range(0, scale.days + 1, 7 * weeks):
        day = scale.today + timedelta(days=days)
        x = scale.x(day)
        drawn.append(line(x, scale.foot, x, scale.foot + 4, "ink thin"))
        drawn.append(text_at(x, scale.foot + 15, "today" if not days else f"{day:%-d %b}"))
    return drawn


def _marks(coming: Sequence[Coming], scale: _Scale, y: Y) -> list[str]:
    """An arrow under the day of each delivery, with its order."""
    inbound = sorted(coming, key=lambda one: (one.on, one.line.pk))
    drawn, end = marks(
        [Mark(scale.x(one.on), f"{one.line.order.number} +{one.arrival.quantity}") for one in inbound],
        y.at,
        WIDTH,
    )
    y.take(end - y.at)
    return drawn
