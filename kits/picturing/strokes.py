"""The few SVG strokes that drawings are made of; all text is escaped here and nowhere else."""

from __future__ import annotations

from html import escape
from unicodedata import combining, east_asian_width

WIDTH = 320  # One unit is about a pixel on the smallest phone, so letters keep their size there.
EDGE = 10
SIZES = {"": 12, "small": 11, "tiny": 10, "word": 14}
ARROW = 5
# Shares of the letter height, taken from the widest of the common fonts.
_THIN, _NARROW, _SMALL = "iljI.,:;'|! ", "ftr()[]{}/`-", "cksvxyz"
_WIDE = "mwMW@%+=<>~\N{MINUS SIGN}\N{MULTIPLICATION SIGN}&#_"


class Y:
    """How far down the drawing has come, in its own units."""

    def __init__(self, at: float = 0) -> None:
        self.at = at

    def take(self, height: float) -> float:
        """Move down by `height` and return where it began."""
        self.at += height
        return self.at - height


def room(words: str, kind: str = "small") -> float:
    """The width that words take at the most, whatever the font."""
    size = SIZES[kind] * (1.12 if kind == "word" else 1)
    return size * sum(map(_letter, words))


def _letter(letter: str) -> float:
    if combining(letter):
        return 0
    if letter in _THIN:
        return 0.34
    if letter in _NARROW:
        return 0.42
    if letter in _SMALL:
        return 0.6
    if letter.isdigit() or (letter.isascii() and letter.islower() and letter not in _WIDE):
        return 0.64
    if letter in _WIDE or not letter.isascii():
        return 1.1 if east_asian_width(letter) in "WF" or letter.isascii() else 1.0
    return 0.8


def number(value: float) -> str:
    """A coordinate to a hundredth."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def text(x: float, y: float, words: str, kind: str = "small", anchor: str = "") -> str:
    """Words on the base line y; x is their left end, or their middle or end with an anchor."""
    anchored = f' text-anchor="{anchor}"' if anchor else ""
    return f'<text x="{number(x)}" y="{number(y)}" class="{kind}"{anchored}>{escape(words)}</text>'


def text_at(x: float, y: float, words: str, kind: str = "small") -> str:
    """Words centred on x, pushed inwards where they would leave the drawing, cut where they must be."""
    words = cut(words, WIDTH - 2 * EDGE, kind)
    return text(inward(x, room(words, kind)), y, words, kind, "middle")


def inward(x: float, width: float) -> float:
    """The middle nearest to x of something of that width that stays inside the drawing."""
    return min(max(x, EDGE + width / 2), WIDTH - EDGE - width / 2)


def cut(words: str, width: float, kind: str = "small") -> str:
    """Words cut with an ellipsis where they are wider than that."""
    if room(words, kind) <= width:
        return words
    while words and room(f"{words}\N{HORIZONTAL ELLIPSIS}", kind) > width:
        words = words[:-1]
    return f"{words}\N{HORIZONTAL ELLIPSIS}"


def wrapped(words: str, width: float, kind: str = "small") -> list[str]:
    """Rows of at most that width, broken at spaces and, where one word is wider, inside it."""
    rows = [""]
    for word in words.split():
        joined = f"{rows[-1]} {word}".strip()
        if room(joined, kind) <= width:
            rows[-1] = joined
            continue
        rows += _broken(word, width, kind)
    return [row for row in rows if row]


def _broken(word: str, width: float, kind: str) -> list[str]:
    """A word in pieces of at most that width; one letter is never broken."""
    pieces = [""]
    for letter in word:
        if pieces[-1] and room(pieces[-1] + letter, kind) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces


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


def dot(x: float, y: float) -> str:
    """The end of a leader inside a part."""
    return f'<circle cx="{number(x)}" cy="{number(y)}" r="1.6" class="solid"/>'


def ring(x: float, y: float, radius: float, kind: str = "ink thin") -> str:
    return f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(radius)}" class="{kind}"/>'


def across(x1: float, x2: float, y: float) -> list[str]:
    """A dimension line: arrows outwards at both ends, or from outside where there is no room."""
    left, right = sorted((x1, x2))
    inside = right - left > 2 * ARROW + 2
    ends = (left, right) if inside else (left - 2.5 * ARROW, right + 2.5 * ARROW)
    drawn = [line(ends[0], y, ends[1], y, "ink thin")]
    for x, way in ((left, 1), (right, -1)):
        back = ARROW * way * (1 if inside else -1)
        drawn.append(
            path(f"M{number(x)} {number(y)}l{number(back)} -2v4Z", "solid"),
        )
    return drawn


def upright(x: float, y1: float, y2: float) -> list[str]:
    """The same upright."""
    top, bottom = sorted((y1, y2))
    inside = bottom - top > 2 * ARROW + 2
    ends = (top, bottom) if inside else (top - 2.5 * ARROW, bottom + 2.5 * ARROW)
    drawn = [line(x, ends[0], x, ends[1], "ink thin")]
    for y, way in ((top, 1), (bottom, -1)):
        back = ARROW * way * (1 if inside else -1)
        drawn.append(path(f"M{number(x)} {number(y)}l-2 {number(back)}h4Z", "solid"))
    return drawn
