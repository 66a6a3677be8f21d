"""Reads a drawing as a plotter would: every corner that its strokes reach."""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree import ElementTree

from kits.picturing.strokes import room

SVG = "{http://www.w3.org/2000/svg}"
_STEP = re.compile(r"([MLHVZmlhv])([^MLHVZmlhv]*)")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def _parsed(drawing: str) -> ElementTree.Element:
    return ElementTree.fromstring(drawing)  # noqa: S314  # our own drawing


def corners(steps: str) -> Iterator[tuple[float, float]]:
    """Where a path of straight steps goes."""
    x = y = 0.0
    for letter, rest in _STEP.findall(steps):
        figures = [float(one) for one in _NUMBER.findall(rest)]
        if letter in "Hh":
            figures = [value for one in figures for value in (one, 0.0 if letter == "h" else y)]
        elif letter in "Vv":
            figures = [value for one in figures for value in (0.0 if letter == "v" else x, one)]
        for across, down in zip(figures[::2], figures[1::2], strict=True):
            x, y = (x + across, y + down) if letter.islower() else (across, down)
            yield x, y


def reached(drawing: str) -> Iterator[tuple[float, float]]:
    """Every corner of all that is drawn; of words the ends, by the room that they take at the most."""
    root = _parsed(drawing)
    for defs in root.findall(f"{SVG}defs"):
        root.remove(defs)
    for one in root.iter():
        given = one.attrib
        if one.tag == f"{SVG}rect":
            x, y = float(given["x"]), float(given["y"])
            wide, high = float(given["width"]), float(given["height"])
            assert wide >= 0 and high >= 0, given
            yield from ((x, y), (x + wide, y + high))
        elif one.tag == f"{SVG}line":
            yield from ((float(given[f"x{n}"]), float(given[f"y{n}"])) for n in "12")
        elif one.tag == f"{SVG}circle":
            x, y, r = (float(given[name]) for name in ("cx", "cy", "r"))
            yield from ((x - r, y - r), (x + r, y + r))
        elif one.tag == f"{SVG}path":
            yield from corners(given["d"])
        elif one.tag == f"{SVG}text":
            wide = room(one.text or "", given["class"] if given["class"] in ("small", "tiny", "word") else "")
            start = {"middle": wide / 2, "end": wide}.get(given.get("text-anchor", ""), 0.0)
            x, y = float(given["x"]) - start, float(given["y"])
            yield from ((x, y - 9), (x + wide, y + 1))


def sticks_out(drawing: str) -> list[tuple[float, float]]:
    """The corners outside the drawing's own edges."""
    root = _parsed(drawing)
    _, _, width, height = map(float, root.attrib["viewBox"].split())
    return [
        (x, y)
        for x, y in reached(drawing)
        if not (-0.01 <= x <= width + 0.01 and -0.01 <= y <= height + 0.01)
    ]


def titled(drawing: str) -> tuple[str, str]:
    """The title and the description that a screen reader says, by the ids that the drawing names them by."""
    root = _parsed(drawing)
    assert root.attrib["role"] == "img"
    by_id = {one.attrib.get("id"): one.text or "" for one in root.iter()}
    title, desc = root.attrib["aria-labelledby"].split()
    return by_id[title], by_id[desc]
