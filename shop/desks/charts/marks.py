"""Arrows below an axis with a word each, in the first row that has room for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kits.picturing.strokes import EDGE, cut, line, number, path, room, text

_ROWS = 4
_FIRST, _ROW = 18, 14


@dataclass(frozen=True)
class Mark:
    x: float
    words: str


def marks(wanted: Sequence[Mark], top: float, width: float) -> tuple[list[str], float]:
    """The arrows at `top` and their words below, and where they end; what finds no room is counted."""
    ends, drawn, left_out = [0.0] * _ROWS, [], 0
    for mark in wanted:
        words = cut(mark.words, width - 2 * EDGE)
        wide = room(words)
        left = min(max(mark.x - wide / 2, EDGE), width - EDGE - wide)
        row = next((row for row, end in enumerate(ends) if end <= left), None)
        if row is None:
            left_out += 1
            continue
        ends[row] = left + wide + 6
        base = top + _FIRST + _ROW * row
        drawn.append(path(f"M{number(mark.x)} {number(top)}l-4 7h8Z", "solid"))
        drawn.append(line(mark.x, top + 7, mark.x, base - 10, "ink thin"))
        drawn.append(text(left, base, words))
    used = sum(end > 0 for end in ends)
    end = top + (_FIRST + _ROW * used if used else 0)
    if left_out:
        drawn.append(text(EDGE, end + 4, f"and {left_out} more in the table"))
        end += _ROW
    return drawn, end
