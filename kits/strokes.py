"""The few SVG strokes that drawings are made of; all text is escaped here and nowhere else."""

from __future__ import annotations

from html import escape

WIDTH = 360
MUTED = "small muted"
_CHARACTER = 6.4  # Room that one character of small text takes, generously.


class Y:
    """How far down the drawing has come, in its own units (pixels on a small phone)."""

    def __init__(self, at: int = 0) -> None:
        self.at = at

    def take(self, height: int) -> int:
        """Move down by `height` and return where it began."""
        self.at += height
        return self.at - height


def number(value: float) -> str:
    """A coordinate to a tenth of a pixel."""
    return f"{value:.1f}".removesuffix(".0")


def text(x: float, y: float, words: str, kind: str = "") -> str:
    """Words with their left end on the base line."""
    return f'<text x="{number(x)}" y="{number(y)}" class="{kind}">{escape(words)}</text>'


def text_near(x: float, y: float, words: str, kind: str = "small") -> str:
    """Words centred on x, pushed inwards where they would leave the drawing."""
    room = len(words) * _CHARACTER
    return text(min(max(x - room / 2, 4), max(WIDTH - room - 4, 4)), y, words, kind)


def box(x: float, y: float, width: float, height: float, kind: str, fill: str = "") -> str:
    """`fill` is a hatch, as in url(#name)."""
    filled = f' fill="{fill}"' if fill else ""
    return (
        f'<rect x="{number(x)}" y="{number(y)}" width="{number(width)}" height="{number(height)}" '
        f'class="{kind}"{filled}/>'
    )


def line(x1: float, y1: float, x2: float, y2: float, kind: str = "ink") -> str:
    return f'<line x1="{number(x1)}" y1="{number(y1)}" x2="{number(x2)}" y2="{number(y2)}" class="{kind}"/>'


def path(steps: str, kind: str = "ink") -> str:
    return f'<path d="{steps}" class="{kind}"/>'


def wrapped(words: str, width: int) -> list[str]:
    """Rows of at most `width` characters, broken at spaces; a longer word has a row of its own."""
    rows = [""]
    for word in words.split():
        joined = f"{rows[-1]} {word}".strip()
        if len(joined) <= width or not rows[-1]:
            rows[-1] = joined
        else:
            rows.append(word)
    return rows
