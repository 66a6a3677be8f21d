"""How a drawing looks: line weights, hatches, and the colours that are added to words and shapes."""

from __future__ import annotations

from typing import Final

from kits.fit import Verdict

CLASS: Final = "section-drawing"
# Light and dark, each at least 4.5 to 1 on its paper. Only in addition: on a grey print they all
# come out dark, and the word and the shape say what they say.
COLOURS: Final = {
    Verdict.GOES_TOGETHER: ("#1d6b3c", "#8fd6a6"),
    Verdict.GOES_WITH_WORK: ("#7a4a00", "#f0c674"),
    Verdict.MEASURE_FIRST: ("#1f4f9c", "#a9c8ff"),
    Verdict.DOES_NOT_GO: ("#9c2a1c", "#ffa596"),
}
PAPER: Final = "var(--paper-light,Canvas)"

# Under the drawing's own class: a style inside an inline drawing counts for the whole page.
_RULES = {
    "text": "fill:currentColor;font:12px var(--plain-face,system-ui,sans-serif)",
    "text.small": "font-size:11px",
    "text.tiny": "font-size:10px",
    "text.word": "font-weight:700;font-size:14px",
    ".ink": "fill:none;stroke:currentColor;stroke-width:1.5",
    ".thin": "stroke-width:.7",
    ".heavy": "stroke-width:2.4",
    ".part": "stroke:currentColor;stroke-width:1.3",
    ".plain": f"fill:{PAPER};stroke:currentColor;stroke-width:1.3",
    ".axis": "fill:none;stroke:currentColor;stroke-width:.7;stroke-dasharray:12 3 2 3",
    ".solid": "fill:currentColor",
    ".wall": "stroke:none",
    ".unknown": f"fill:{PAPER};stroke:currentColor;stroke-width:1.2;stroke-dasharray:4 3",
    ".callout": f"fill:{PAPER};stroke:currentColor;stroke-width:1",
    ".paper": f"fill:{PAPER}",
}


def verdict_class(verdict: Verdict) -> str:
    return f"verdict-{verdict.value.replace(' ', '-')}"


def style() -> str:
    """The style element; a browser that does not know light-dark() keeps the ink of the text."""
    rules = dict(_RULES)
    for verdict, (light, dark) in COLOURS.items():
        rules[f".{verdict_class(verdict)}"] = f"color:light-dark({light},{dark})"
    return "<style>" + "".join(f".{CLASS} {k}{{{v}}}" for k, v in rules.items()) + "</style>"


# Adjacent parts are hatched differently, as in a section on paper; what is not allowed is crossed.
_STROKES = {
    "rise": ("M-1 1 1 -1M0 7 7 0M6 8 8 6", 7),
    "fall": ("M-1 6 1 8M0 0 7 7M6 -1 8 1", 7),
    "rise-fine": ("M-1 1 1 -1M0 4.5 4.5 0M3.5 5.5 5.5 3.5", 4.5),
    "fall-fine": ("M-1 3.5 1 5.5M0 0 4.5 4.5M3.5 -1 5.5 1", 4.5),
    "out": ("M0 0 5 5M0 5 5 0", 5),
}
HATCHES: Final = ("rise", "fall", "rise-fine", "fall-fine")


def hatches(tag: str) -> str:
    """The patterns; `tag` keeps their names apart where a page holds more than one drawing."""
    patterns = "".join(
        f'<pattern id="{name}-{tag}" width="{step}" height="{step}" patternUnits="userSpaceOnUse">'
        f'<path d="{steps}" stroke="currentColor" stroke-width=".6" opacity=".65" fill="none"/></pattern>'
        for name, (steps, step) in _STROKES.items()
    )
    return f"<defs>{patterns}</defs>"


def hatch(name: str, tag: str) -> str:
    """The fill that refers to a hatch."""
    return f"url(#{name}-{tag})"
