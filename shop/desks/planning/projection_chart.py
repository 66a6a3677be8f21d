"""What will lie on the shelf, drawn day by day, with the target's two levels and what comes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from kits.picturing.strokes import EDGE, WIDTH, line, number, path, text
from shop.desks.charts import WIDE, Days, Frame, Mark, Scale, drawing, key_of, marks, pattern

from .projecting import Projection

_LETTER = 11


@dataclass(frozen=True)
class Inbound:
    """A delivery: the day to count on, how many, and the order's number."""

    day: date
    quantity: int
    order: str


def draw_projection(
    projection: Projection,
    inbound: Sequence[Inbound],
    target: tuple[int, int] | None,
    *,
    tag: str,
    width: int = WIDE,
) -> str:
    """The drawing as an SVG element; `target` is when to order and up to how many."""
    frame = Frame(width, height=170 if width > WIDTH else 140)
    levels = projection.levels
    up, values = frame.up(0, max([1.0, *(one.high for one in levels), *(target or ())]), least=1)
    labels = [(value, f"{value:.0f}") for value in values]
    frame = frame.beside(labels)
    days = Days(levels[0].day, levels[-1].day, frame.left, frame.right)
    parts = [text(EDGE, 12, "Pieces on the shelf and kept for nobody"), *frame.rulings(up, labels)]
    parts += _band(projection, days, up, tag)
    parts += _target_lines(target, up, frame)
    if projection.runs_out:
        said = f"runs out {projection.runs_out:%-d %b}"
        parts += frame.named(days.at(projection.runs_out), said, "word")
    parts += frame.calendar(days)
    known = [one for one in inbound if one.day <= levels[-1].day]
    arrows, end = marks(
        [Mark(days.at(one.day), f"{one.order} +{one.quantity}") for one in known], frame.foot + 22, width
    )
    key, end = key_of(_key(target), end + 8, width, tag)
    words = described(projection, inbound, target)
    return drawing(tag, "Stock to come", words, (width, end + 2), [*parts, *arrows, *key])


def described(projection: Projection, inbound: Sequence[Inbound], target: tuple[int, int] | None) -> str:
    """What the drawing shows, in words."""
    levels = projection.levels
    said = [f"Today {levels[0].middle}, on {levels[-1].day} about {max(0, levels[-1].middle)}"]
    said += [f"{one.order} brings {one.quantity}, counted on for {one.day}" for one in inbound]
    if projection.runs_out:
        said.append(f"as likely as not it has run out by {projection.runs_out}")
    if target:
        said.append(f"order at {target[0]}, up to {target[1]}")
    return "; ".join(said) + "."


def _band(projection: Projection, days: Days, up: Scale, tag: str) -> list[str]:
    """Between much and little asked for; the line is the middle. Below an empty shelf nothing is drawn."""
    levels = projection.levels
    points = [(days.at(one.day), up.at(one.middle), up.at(one.low), up.at(one.high)) for one in levels]
    low = [(x, y) for x, _, y, _ in points]
    high = [(x, y) for x, _, _, y in points]
    filled = f"M{_through(high)}L{_through(low[::-1])}Z"
    return [
        f'<path d="{filled}" fill="{pattern("grey", tag)}" stroke="none"/>',
        path(f"M{_through(low)}", "dashed"),
        path(f"M{_through(high)}", "dashed"),
        path(f"M{_through([(x, y) for x, y, _, _ in points])}", "ink heavy"),
    ]


def _through(points: Sequence[tuple[float, float]]) -> str:
    """The points without those in the middle of a straight run."""
    kept = [
        point
        for number_, point in enumerate(points)
        if number_ in (0, len(points) - 1) or not _straight(points[number_ - 1 : number_ + 2])
    ]
    return "L".join(f"{number(x)} {number(y)}" for x, y in kept)


def _straight(three: Sequence[tuple[float, float]]) -> bool:
    (x1, y1), (x2, y2), (x3, y3) = three
    return abs((y2 - y1) * (x3 - x2) - (y3 - y2) * (x2 - x1)) < 1e-6


def _target_lines(target: tuple[int, int] | None, up: Scale, frame: Frame) -> list[str]:
    if target is None:
        return []
    drawn = []
    for value, words in zip(target, ("order at", "up to"), strict=True):
        y = up.at(value)
        drawn.append(line(frame.left, y, frame.right, y, "dotted"))
        # Below the line where above it there is no room.
        base = y - 3 if y - _LETTER > frame.top else y + _LETTER
        drawn.append(text(frame.right, base, f"{words} {value}", "small", "end"))
    return drawn


def _key(target: tuple[int, int] | None) -> list[tuple[str, str, str]]:
    entries = [("ink heavy", "", "the middle case"), ("edged", "grey", "8 of 10 cases lie here")]
    return entries + ([("dotted", "", "the target, held against free and to come")] if target else [])
