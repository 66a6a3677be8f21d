"""Charts drawn by hand, in the manner of our drawings: scales, frames, patterns and marks.

Pure: plain figures in, SVG out. No colour says anything; what a pattern means stands beside it in words, and
whoever draws a chart gives a description and, on the page, a table of the same figures.
"""

from .frame import RING, SLIM, WIDE, Frame, drawing, key_of, pattern, words_at
from .marks import Mark, marks
from .scales import Days, Scale, day_ticks, round_step, ticks

__all__ = [
    "RING",
    "SLIM",
    "WIDE",
    "Days",
    "Frame",
    "Mark",
    "Scale",
    "day_ticks",
    "drawing",
    "key_of",
    "marks",
    "pattern",
    "round_step",
    "ticks",
    "words_at",
]
