"""Findings as pictures: drawn in section with the parts list's balloon numbers, and their working."""

from kits.picturing.drawing import draw, draw_check
from kits.picturing.marks import Mark, Marks, marks_of
from kits.picturing.working import Row, Working, working

__all__ = ["Mark", "Marks", "Row", "Working", "draw", "draw_check", "marks_of", "working"]
