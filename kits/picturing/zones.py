"""Tolerance zones of a bore and a shaft about the zero line, and the least and the most play."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kits.fit import Band, Length
from kits.picturing.marks import RADIUS, Mark, balloon
from kits.picturing.strokes import EDGE, WIDTH, box, cut, line, room, text, upright
from kits.picturing.style import hatch
from kits.picturing.words import minus, um_figure

_LEFT, _RIGHT = 126, WIDTH - EDGE
_BORE, _SHAFT, _LEAST, _MOST = 162.0, 226.0, 194.0, 282.0
_ZONE = 30.0
_HEAD, _HIGH = 44.0, 100.0  # Above the zones, and from the highest end to the lowest.
_THIN = 1.6
# Units of 10 nm, from rough to fine: the zero line stands on the roundest size at the zones.
_ROUND = (1_000_000, 500_000, 100_000, 50_000, 10_000, 5_000)
_FINE = (1_000, 500, 100, 50, 10, 5, 1)
_MM = 1_000_000  # From 10 mm up a deviation is not told in micrometres.


@dataclass(frozen=True)
class _Axis:
    """The upright axis of deviations from the basic size."""

    basic: Length
    highest: int
    per_unit: float
    top: float

    def y(self, length: Length) -> float:
        return self.top + (self.highest - (length - self.basic).units) * self.per_unit


def basic_size(bands: Sequence[Band]) -> Length:
    """The roundest size within the zones, else one no farther from them than they are wide together."""
    lo, hi = min(band.lo for band in bands).units, max(band.hi for band in bands).units
    wide = max(hi - lo, 1)
    for reach, steps in ((0, _ROUND), (wide, (*_ROUND, *_FINE))):
        for step in steps:
            nearest = (lo + hi + step) // (2 * step) * step
            if lo - reach <= nearest <= hi + reach:
                return Length(nearest)
    return Length(lo)


def zones_height(sizes: tuple[Band | None, Band | None]) -> float:
    """How much height the zones take: more where a balloon has to stand below its zone."""
    known = [band for band in sizes if band is not None]
    flat = known and any(not _holds_balloon(band, _axis(known, 0)) for band in known)
    return _HEAD + _HIGH + (36 if flat else 16)


def draw_zones(
    sizes: tuple[Band | None, Band | None], marks: tuple[Mark, Mark], is_round: bool, top: float, tag: str
) -> list[str]:
    """Both zones, the bore's hatched; one of which the size is unknown stands dashed."""
    known = [band for band in sizes if band is not None]
    if not known:
        return [text(_LEFT, top + 24, "Neither size is known")]
    axis = _axis(known, top + _HEAD)
    zero = axis.y(axis.basic)
    sign = "\N{DIAMETER SIGN}" if is_round else ""
    heading = f"\N{GREEK SMALL LETTER MU}m from {sign}{minus(axis.basic.figure('mm'))} mm"
    drawn = [
        text(_LEFT, top + 10, cut(heading, _RIGHT - _LEFT)),
        line(_LEFT, zero, _RIGHT, zero, "ink"),
        text(_LEFT + 1, zero - 3, "0", "tiny"),
    ]
    drawn += _columns(sizes, top + 24)
    for band, mark, x, fill in (
        (sizes[0], marks[0], _BORE, hatch("rise", tag)),
        (sizes[1], marks[1], _SHAFT, ""),
    ):
        drawn += _unknown(x, top + _HEAD, mark) if band is None else _zone(band, axis, x, mark, fill)
    return drawn + (_plays(sizes[0], sizes[1], axis) if sizes[0] and sizes[1] else [])


def _axis(known: Sequence[Band], top: float) -> _Axis:
    basic = basic_size(known)
    ends = [0, *((end - basic).units for band in known for end in (band.lo, band.hi))]
    return _Axis(basic, max(ends), _HIGH / max(max(ends) - min(ends), 1), top)


def _columns(sizes: tuple[Band | None, Band | None], base: float) -> list[str]:
    """What the dimensions are of: clearance, below zero interference."""
    if None in sizes:
        return []
    return [text(x, base, words, "tiny", "middle") for x, words in ((_LEAST, "least"), (_MOST, "most"))]


def _unknown(x: float, top: float, mark: Mark) -> list[str]:
    return [
        box(x - _ZONE / 2, top, _ZONE, _HIGH, "unknown"),
        text(x, top + _HIGH / 2 + 24, "?", "word", "middle"),
        *balloon(x, top + _HIGH / 2 - 4, mark),
    ]


def _zone(band: Band, axis: _Axis, x: float, mark: Mark, fill: str) -> list[str]:
    """A zone with both deviations, and its balloon inside where it is tall enough, else below."""
    high, low = axis.y(band.hi), axis.y(band.lo)
    kind = "part zone" if fill else "plain zone"
    drawn = [box(x - _ZONE / 2, high, _ZONE, max(low - high, _THIN), kind, fill)]
    drawn.append(text(x, high - 4, _deviation(band.hi - axis.basic), "tiny", "middle"))
    below = low + 11
    if band.lo != band.hi:
        drawn.append(text(x, below, _deviation(band.lo - axis.basic), "tiny", "middle"))
        below += 2
    inside = _holds_balloon(band, axis)
    return [*drawn, *balloon(x, (high + low) / 2 if inside else below + RADIUS, mark)]


def _holds_balloon(band: Band, axis: _Axis) -> bool:
    return axis.y(band.lo) - axis.y(band.hi) > 2 * RADIUS + 4


def _plays(bore: Band, shaft: Band, axis: _Axis) -> list[str]:
    """The least and the most clearance as dimensions between the ends of the zones."""
    drawn = []
    for x, inner, outer in ((_LEAST, bore.lo, shaft.hi), (_MOST, bore.hi, shaft.lo)):
        ends = axis.y(inner), axis.y(outer)
        drawn += [
            line(_BORE + _ZONE / 2, ends[0], x + 4, ends[0], "ink thin"),
            line(min(x, _SHAFT) - 4, ends[1], max(x + 4, _SHAFT), ends[1], "ink thin"),
            *upright(x, *ends),
        ]
        words = _deviation(inner - outer)
        half, middle = room(words, "tiny") / 2 + 1, sum(ends) / 2
        beside = abs(ends[0] - ends[1]) < 34  # No room for figures on the line.
        at = min(ends) - 18 if beside else middle
        drawn += [box(x - half, at - 6, 2 * half, 12, "paper"), text(x, at + 4, words, "tiny", "middle")]
    return drawn


def _deviation(length: Length) -> str:
    """'+21', '0' or '-7' in micrometres, or so many mm."""
    if abs(length.units) >= _MM:
        return cut(minus(f"{length.mm:+.0f} mm"), 50, "tiny")
    return cut(f"{'+' if length.units > 0 else ''}{um_figure(length)}", 50, "tiny")
