"""Money tied up against the share of kits that ship complete: what can be had, and where we stand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from kits.picturing.strokes import EDGE, WIDTH, line, number, path, ring, text, wrapped
from shop.desks.charts import WIDE, Frame, Scale, drawing, key_of, ticks, words_at


class Point(NamedTuple):
    """So much money tied up, and the share of kits (0 to 1) that ship complete from stock."""

    money: float
    share: float


class Standing(NamedTuple):
    """A point that has a name: the one chosen, where we are now, what equal service would cost."""

    shape: str  # "diamond", "square", "triangle" or "cross"
    words: str
    point: Point


_ALL = 0.999
_SHAPES = {
    "diamond": "M{x} {y}m0 -7l7 7l-7 7l-7 -7Z",
    "square": "M{x} {y}m-5.5 -5.5h11v11h-11Z",
    "triangle": "M{x} {y}m0 -7l6.5 11.5h-13Z",
    "cross": "M{x} {y}m-5.5 -5.5l11 11m0 -11l-11 11",
}
_LOOKS = {"diamond": "solid", "square": "plain", "triangle": "plain", "cross": "ink heavy"}


def draw_frontier(
    points: Sequence[Point], standings: Sequence[Standing], currency: str, *, tag: str, width: int = WIDE
) -> str:
    """The drawing as an SVG element. Give at least one point of the two kinds together."""
    frame = Frame(width, height=230 if width > WIDTH else 190)
    points = _worth_drawing(points)
    everything = [*points, *(one.point for one in standings)]
    up, shares = frame.up(min(one.share for one in everything), 1.0, least=0.01)
    labels = [(share, f"{share:.0%}") for share in shares]
    frame = frame.beside(labels)
    along, amounts = _along(everything, frame)
    parts = [text(EDGE, 12, "Share of kits that ship complete"), *frame.rulings(up, labels)]
    parts.append(line(frame.left, frame.foot, frame.right, frame.foot, "ink"))
    for amount in amounts:
        x = along.at(amount)
        parts.append(line(x, frame.foot, x, frame.foot + 4, "ink thin"))
        parts.append(words_at(x, frame.foot + 16, _short(amount), width))
    parts += _curve(points, along, up)
    # The first is the smallest and full: drawn last, it is seen where others are in the same place.
    parts += [_shape(one, along.at(one.point.money), up.at(one.point.share)) for one in reversed(standings)]
    parts.append(text(frame.right, frame.foot + 32, f"Money tied up, {currency}", "small", "end"))
    key, end = key_of(
        [("ink heavy", "", "the most complete kits for the money")], frame.foot + 42, width, tag
    )
    named, end = _named(standings, end + 2, width, currency)
    words = described(points, standings, currency)
    return drawing(tag, "Money against whole kits", words, (width, end + 2), [*parts, *key, *named])


def described(points: Sequence[Point], standings: Sequence[Standing], currency: str) -> str:
    """What the drawing shows, in words."""
    said = []
    if points:
        said.append(
            f"From {points[0].share:.1%} of the kits complete for {_short(points[0].money)} {currency} to "
            f"{points[-1].share:.1%} for {_short(points[-1].money)} {currency}"
        )
    said += [
        f"{one.words}: {one.point.share:.1%} for {_short(one.point.money)} {currency}" for one in standings
    ]
    return "; ".join(said) + "."


def _worth_drawing(points: Sequence[Point]) -> Sequence[Point]:
    """Up to the first that completes as good as all kits: what costs more would only squeeze the rest."""
    enough = next((number for number, one in enumerate(points) if one.share >= _ALL), len(points))
    return points[: enough + 1]


def _along(points: Sequence[Point], frame: Frame) -> tuple[Scale, list[float]]:
    """From 0, so that twice as far is twice the money."""
    most = max(1.0, *(one.money for one in points))
    labels = ticks(0, most, max(2, int((frame.right - frame.left) / 62)), least=1)
    return Scale(0, most * 1.04, frame.left, frame.right), labels


def _short(amount: float) -> str:
    """Whole units, in groups of three digits."""
    return f"{amount:,.0f}".replace(",", "\u202f")


def _curve(points: Sequence[Point], along: Scale, up: Scale) -> list[str]:
    placed = [(along.at(one.money), up.at(one.share)) for one in points]
    if not placed:
        return []
    steps = "L".join(f"{number(x)} {number(y)}" for x, y in placed)
    return [path(f"M{steps}", "ink heavy"), *(ring(x, y, 2.6, "plain") for x, y in placed)]


def _shape(standing: Standing, x: float, y: float) -> str:
    return path(_SHAPES[standing.shape].format(x=number(x), y=number(y)), _LOOKS[standing.shape])


def _named(standings: Sequence[Standing], y: float, width: float, currency: str) -> tuple[list[str], float]:
    """A row for each point that has a name, with its shape and its figures; and where they end."""
    drawn = []
    for one in standings:
        share, money = f"{one.point.share:.1%}", _short(one.point.money)
        words = f"{one.words}: {share}, {money} {currency}"
        drawn.append(_shape(one, EDGE + 8, y + 7))
        for row in wrapped(words, width - 2 * EDGE - 21):
            drawn.append(text(EDGE + 21, y + 11, row))
            y += 14
        y += 4
    return drawn, y
