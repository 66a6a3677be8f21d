"""A bore and its shaft: a section to scale, and both tolerance zones about the zero line, magnified."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kits.fit import Finding, Term
from kits.picturing.marks import RADIUS, Mark, balloon
from kits.picturing.strokes import Y, box, dot, line, path, text
from kits.picturing.style import hatch
from kits.picturing.zones import draw_zones, zones_height

SECTION_LEFT, SECTION_RIGHT = 10, 112
_HALF, _WALL = 34.0, 16.0
_SECTION_TALL = 2 * (24 + _WALL + _HALF)


@dataclass(frozen=True)
class Fitted:
    """A bore and the shaft in it, each with its mark."""

    bore: Term
    shaft: Term
    marks: tuple[Mark, Mark]

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
    return Fitted(bore, shaft, (inner, outer))


def draw_pair(pair: Fitted, y: Y, tag: str) -> list[str]:
    """The section on the left and the zones on the right; dashed where a size is unknown."""
    sizes = (pair.bore.measured.band, pair.shaft.measured.band)
    top = y.take(max(zones_height(sizes), _SECTION_TALL) + 6) + 2
    return _section(pair, top, tag) + draw_zones(sizes, pair.marks, pair.is_round, top, tag)


def _section(pair: Fitted, top: float, tag: str) -> list[str]:
    """Along the axis: the bore's walls cut and hatched, the shaft whole, both broken off at the ends."""
    axis = top + 24 + _WALL + _HALF
    bore, shaft = _halves(pair)
    left, right = SECTION_LEFT + 16, SECTION_RIGHT - 16
    drawn = []
    for side in (-1, 1):
        inner = axis + side * bore
        kind = "part" if pair.bore.measured.band else "unknown"
        at = inner if side > 0 else inner - _WALL
        fill = hatch("rise", tag) if pair.bore.measured.band else ""
        drawn.append(box(left, at, right - left, _WALL, kind, fill))
    kind = "plain" if pair.shaft.measured.band else "unknown"
    ends = [SECTION_LEFT, SECTION_RIGHT]
    drawn.append(box(ends[0], axis - shaft, ends[1] - ends[0], 2 * shaft, kind))
    if pair.bore.measured.band and pair.shaft.measured.band and shaft > bore + 0.5:
        # What overlaps stands out: the shaft would have to go through the wall.
        drawn += [line(left, axis + s * bore, right, axis + s * bore, "unknown") for s in (-1, 1)]
    for x in ends:
        drawn.append(
            path(f"M{x} {axis - shaft:.2f}q5 {shaft / 2:.2f} 0 {shaft:.2f}t0 {shaft:.2f}", "ink thin")
        )
    if pair.is_round:
        drawn.append(line(ends[0] - 6, axis, ends[1] + 6, axis, "axis"))
    for term, base in ((pair.bore, axis + bore + _WALL / 2 + 5), (pair.shaft, axis + 5)):
        if term.measured.band is None:
            drawn.append(text(left + 18, base, "?", "word", "middle"))
    wall = axis - bore - _WALL / 2
    drawn += [*balloon(left + 14, top + RADIUS, pair.marks[0], (left + 14, wall)), dot(left + 14, wall)]
    low = top + _SECTION_TALL - RADIUS
    inside = axis + shaft * 0.5
    return [*drawn, *balloon(right - 14, low, pair.marks[1], (right - 14, inside)), dot(right - 14, inside)]


def scale_of(pair: Fitted) -> float:
    """The scale of the section, in units of the drawing per 10 nm; 0 where no size is known."""
    largest = max(float(abs(b.middle)) if (b := t.measured.band) else 0.0 for t in (pair.bore, pair.shaft))
    return 2 * _HALF / largest if largest else 0.0


def _halves(pair: Fitted) -> tuple[float, float]:
    """Half the bore and half the shaft, in units of the drawing; an unknown one as the other."""
    sizes = [float(abs(b.middle)) if (b := t.measured.band) else 0.0 for t in (pair.bore, pair.shaft)]
    sizes = [size or max(sizes) for size in sizes]
    largest = max(sizes) or 1.0
    return sizes[0] / largest * _HALF or 0.5, sizes[1] / largest * _HALF or 0.5
