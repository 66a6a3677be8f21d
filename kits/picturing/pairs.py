"""A bore and its shaft: a section to scale, and both tolerance zones about the zero line, magnified."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kits.fit import Band, Finding, Term
from kits.picturing.marks import RADIUS, Mark, balloon
from kits.picturing.strokes import Y, box, dot, line, path, text
from kits.picturing.style import hatch
from kits.picturing.zones import draw_zones, zones_height

SECTION_LEFT, SECTION_RIGHT = 10, 112
HUB_LEFT, HUB_RIGHT = 26, 96
_HALF, _WALL = 34.0, 16.0
_SECTION_TALL = 2 * (24 + _WALL + _HALF)


@dataclass(frozen=True)
class Fitted:
    """A bore and the shaft in it, each with its mark; `outside` is the hub's, where the check names it."""

    bore: Term
    shaft: Term
    marks: tuple[Mark, Mark]
    outside: Band | None = None

    @property
    def is_round(self) -> bool:
        """Whether it is a diameter: a key in its keyway has two flat sides and no axis."""
        if self.bore.role == "slot":
            return False
        names = f"{self.bore.measured.name} {self.shaft.measured.name}".lower()
        return not ("width" in names or "thickness" in names)


def fitted(finding: Finding, marks: Sequence[Mark]) -> Fitted | None:
    """The pair that a finding is about, if it is about one."""
    if len(finding.terms) != 2 or any(term.factor != 1 for term in finding.terms):
        return None
    (bore, inner), (shaft, outer) = sorted(
        zip(finding.terms, marks, strict=True), key=lambda pair: -pair[0].sign
    )
    if (bore.sign, shaft.sign) != (1, -1) or bore.role not in ("bore", "slot"):
        return None
    return Fitted(bore, shaft, (inner, outer), _outside(finding))


def _outside(finding: Finding) -> Band | None:
    """The outside diameter of the hub, which a press fit asks for."""
    terms = finding.question.of("hub-outside") if finding.question else ()
    return terms[0].measured.band if terms else None


def draw_pair(pair: Fitted, y: Y, tag: str) -> list[str]:
    """The section on the left and the zones on the right; dashed where a size is unknown."""
    sizes = (pair.bore.measured.band, pair.shaft.measured.band)
    top = y.take(max(zones_height(sizes), _SECTION_TALL) + 6) + 2
    return _section(pair, top, tag) + draw_zones(sizes, pair.marks, pair.is_round, top, tag)


def _section(pair: Fitted, top: float, tag: str) -> list[str]:
    """Along the axis: the bore's walls cut and hatched, the shaft whole and broken off at its ends."""
    axis = top + _SECTION_TALL / 2
    bore, shaft, outside = _halves(pair)
    drawn = []
    for side in (-1, 1):
        drawn += _wall(pair, axis + side * bore, axis + side * outside, hatch("rise", tag))
    drawn += _shaft(pair, axis, shaft)
    if shaft > bore + 0.5 and pair.bore.measured.band and pair.shaft.measured.band:
        # What overlaps stands out: the shaft would have to go through the wall.
        drawn += [line(HUB_LEFT, axis + s * bore, HUB_RIGHT, axis + s * bore, "unknown") for s in (-1, 1)]
    if pair.is_round:
        drawn.append(line(SECTION_LEFT - 6, axis, SECTION_RIGHT + 6, axis, "axis"))
    middles = (axis + (bore + outside) / 2 + 5, axis + 5)
    for term, base in zip((pair.bore, pair.shaft), middles, strict=True):
        if term.measured.band is None:
            drawn.append(text(HUB_LEFT + 18, base, "?", "word", "middle"))
    points = ((HUB_LEFT + 14, axis - (bore + outside) / 2), (HUB_RIGHT - 14, axis + shaft / 2))
    for mark, point, y in zip(pair.marks, points, (top, top + _SECTION_TALL), strict=True):
        at = y + RADIUS if y == top else y - RADIUS
        drawn += [*balloon(point[0], at, mark, point), dot(*point)]
    return drawn


def _wall(pair: Fitted, inner: float, outer: float, fill: str) -> list[str]:
    """One wall of the bore; broken off where its outside is not known, dashed where the bore is not."""
    top, tall, long = min(inner, outer), abs(outer - inner), HUB_RIGHT - HUB_LEFT
    if pair.bore.measured.band is None:
        return [box(HUB_LEFT, top, long, tall, "unknown")]
    if pair.outside is not None:
        return [box(HUB_LEFT, top, long, tall, "part", fill)]
    sides = f"M{HUB_LEFT} {outer:.2f}V{inner:.2f}H{HUB_RIGHT}V{outer:.2f}"
    broken = f"M{HUB_LEFT} {outer:.2f}q{long / 4} 5 {long / 2} 0t{long / 2} 0"
    return [box(HUB_LEFT, top, long, tall, "wall", fill), path(sides), path(broken, "ink thin")]


def _shaft(pair: Fitted, axis: float, half: float) -> list[str]:
    """The shaft, not cut, as is usual for what is solid; dashed where it is unknown."""
    kind = "plain" if pair.shaft.measured.band else "unknown"
    drawn = [box(SECTION_LEFT, axis - half, SECTION_RIGHT - SECTION_LEFT, 2 * half, kind)]
    breaks = f"{axis - half:.2f}q5 {half / 2:.2f} 0 {half:.2f}t0 {half:.2f}"
    return drawn + [path(f"M{x} {breaks}", "ink thin") for x in (SECTION_LEFT, SECTION_RIGHT)]


def scale_of(pair: Fitted) -> float:
    """The scale of the section, in units of the drawing per 10 nm; 0 where no size is known."""
    largest = max(_size(pair.bore.measured.band), _size(pair.shaft.measured.band))
    if not largest:
        return 0.0
    return min(2 * _HALF / largest, 2 * (_HALF + _WALL) / max(_size(pair.outside), largest))


def _halves(pair: Fitted) -> tuple[float, float, float]:
    """Half the bore, shaft and outside in units of the drawing; an unknown one as the other."""
    bore, shaft = _size(pair.bore.measured.band), _size(pair.shaft.measured.band)
    scale = scale_of(pair)
    inner, within = (
        max(size * scale / 2, 0.5) if scale else _HALF for size in (bore or shaft, shaft or bore)
    )
    return inner, within, max(_size(pair.outside) * scale / 2, inner + 3) if pair.outside else inner + _WALL


def _size(band: Band | None) -> float:
    return 0.0 if band is None else float(abs(band.middle))
