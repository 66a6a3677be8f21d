"""The frame of a chart: axes with rulings, patterns and their key, and the element around it all.

A chart is drawn twice: WIDE for a desk's screen and paper, SLIM for a telephone. One unit is about a pixel,
so letters keep their size on both, and the page shows whichever has room.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from html import escape

from kits.picturing.strokes import EDGE, box, cut, line, number, ring, room, text
from kits.picturing.style import CLASS, PAPER, style

from .scales import Days, Scale, day_ticks, round_step

SLIM, WIDE = 320, 840
_ROW = 15
_SWATCH = 16
_LABEL = 54  # units that a label of a month or week wants to itself
_ABOUT = 6
_ROUNDING = 1e-9
RING = "ring"  # in a key, for what is drawn as small rings

_RULES = {
    ".dashed": "fill:none;stroke:currentColor;stroke-width:1.1;stroke-dasharray:5 3",
    ".dotted": "fill:none;stroke:currentColor;stroke-width:1.1;stroke-dasharray:1.5 3",
    ".ruling": "fill:none;stroke:currentColor;stroke-width:.5;opacity:.45",
    ".faint": "fill:currentColor;opacity:.14;stroke:none",
    ".tint": "fill:currentColor;opacity:.28;stroke:none",
    ".edged": "stroke:currentColor;stroke-width:.8",
    ".open": f"fill:{PAPER};stroke:currentColor;stroke-width:1;stroke-dasharray:2.5 2",
}
# name -> what is drawn in each tile, and how wide a tile is.
_PATTERNS = {
    "rise": ('<path d="M-1 1 1 -1M0 5 5 0M4 6 6 4" class="tile"/>', 5),
    "fall": ('<path d="M-1 4 1 6M0 0 5 5M4 -1 6 1" class="tile"/>', 5),
    "cross": ('<path d="M0 0 5 5M0 5 5 0" class="tile"/>', 5),
    "level": ('<path d="M0 2H4" class="tile"/>', 4),
    "dots": ('<circle cx="2" cy="2" r=".9" fill="currentColor"/>', 4),
    "grey": ('<path d="M0 0H4V4H0Z" fill="currentColor" opacity=".22"/>', 4),
    "solid": ('<path d="M0 0H4V4H0Z" fill="currentColor"/>', 4),
}


@dataclass(frozen=True)
class Frame:
    """Where the figures of a chart are drawn: a rectangle in a drawing of some width."""

    width: int
    top: float = 38
    height: float = 150
    left: float = EDGE + 30
    right: float = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "right", self.width - EDGE)

    @property
    def foot(self) -> float:
        return self.top + self.height

    def up(self, low: float, high: float, *, least: float = 0.0) -> tuple[Scale, list[float]]:
        """The upright scale over round figures from `low` or below to `high` or above, and the figures."""
        step = round_step(high - low, _ABOUT, least=least)
        first = math.floor(low / step + _ROUNDING)
        last = max(math.ceil(high / step - _ROUNDING), first + 1)
        labels = [round(number * step, 9) for number in range(first, last + 1)]
        return Scale(labels[0], labels[-1], self.foot, self.top), labels

    def beside(self, labels: Sequence[tuple[float, str]]) -> Frame:
        """The same with as much room at the left as these labels take."""
        return replace(self, left=EDGE + 8 + max((room(words) for _, words in labels), default=0.0))

    def named(self, x: float, words: str, kind: str = "small") -> list[str]:
        """An upright line over the whole height with its words above."""
        return [
            line(x, self.top - 3, x, self.foot, "dotted"),
            words_at(x, self.top - 8, words, self.width, kind),
        ]

    def rulings(self, scale: Scale, labels: Sequence[tuple[float, str]]) -> list[str]:
        """A line across at each figure, heavier at 0, with its label at the left."""
        drawn = []
        for value, words in labels:
            y = scale.at(value)
            drawn.append(line(self.left, y, self.right, y, "ruling" if value else "ink thin"))
            drawn.append(text(self.left - 5, y + 4, words, "small", "end"))
        return drawn

    def calendar(self, scale: Days) -> list[str]:
        """The foot line with days of even steps below it."""
        drawn = [line(self.left, self.foot, self.right, self.foot, "ink")]
        most = max(2, int((self.right - self.left) / _LABEL))
        for day, words in day_ticks(scale.first, scale.last, most):
            x = scale.at(day)
            drawn.append(line(x, self.foot, x, self.foot + 4, "ink thin"))
            drawn.append(words_at(x, self.foot + 16, words, self.width))
        return drawn


def words_at(x: float, y: float, words: str, width: float, kind: str = "small") -> str:
    """Words centred on x, pushed inwards where they would leave a drawing of that width, cut if they must."""
    words = cut(words, width - 2 * EDGE, kind)
    half = room(words, kind) / 2
    return text(min(max(x, EDGE + half), width - EDGE - half), y, words, kind, "middle")


def pattern(name: str, tag: str) -> str:
    """The fill that refers to a pattern of the drawing of that tag."""
    return f"url(#{name}-{tag})"


def key_of(
    entries: Sequence[tuple[str, str, str]], y: float, width: float, tag: str
) -> tuple[list[str], float]:
    """What the patterns mean, in rows from `y` down: (class, pattern or "", words); and where they end."""
    drawn: list[str] = []
    x = float(EDGE)
    for kind, fill, words in entries:
        wide = _SWATCH + 6 + room(words)
        if x > EDGE and x + wide > width - EDGE:
            x, y = float(EDGE), y + _ROW
        drawn.append(_swatch(x, y, kind, fill and pattern(fill, tag)))
        drawn.append(text(x + _SWATCH + 5, y + 9, cut(words, width - 2 * EDGE - _SWATCH - 6)))
        x += wide + 12
    return drawn, y + _ROW


def _swatch(x: float, y: float, kind: str, fill: str) -> str:
    """A line for what is drawn as a line, a ring for rings, a box for the rest."""
    if kind in ("dashed", "dotted", "ink", "ink heavy"):
        return line(x, y + 5, x + _SWATCH, y + 5, kind)
    if kind == RING:
        return ring(x + _SWATCH / 2, y + 5, 2.4, "plain")
    return box(x, y, _SWATCH, 10, kind, fill)


def drawing(tag: str, title: str, description: str, size: tuple[float, float], parts: Sequence[str]) -> str:
    """The SVG element; `tag` keeps its ids apart from those of other drawings on the page."""
    width, height = size
    patterns = "".join(
        f'<pattern id="{name}-{tag}" width="{step}" height="{step}" patternUnits="userSpaceOnUse">{tile}'
        "</pattern>"
        for name, (tile, step) in _PATTERNS.items()
    )
    rules = "".join(f".{CLASS} {kind}{{{rule}}}" for kind, rule in _RULES.items())
    tile = f".{CLASS} .tile{{fill:none;stroke:currentColor;stroke-width:.7}}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(width)} {number(height)}" role="img" '
        f'aria-labelledby="t-{tag} d-{tag}" class="{CLASS}"><title id="t-{tag}">{escape(title)}</title>'
        f'<desc id="d-{tag}">{escape(description)}</desc>{style()}<style>{rules}{tile}</style>'
        f"<defs>{patterns}</defs>{''.join(parts)}</svg>"
    )
