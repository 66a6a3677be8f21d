"""The type that an order to a supplier is set in, and what becomes of a letter that it lacks.

It is embedded, so that a paper looks the same on every machine: Latin, Greek, Cyrillic, Armenian and Georgian
letters and the signs of the trade, upright and bold alike (fonts/README.md says where it is from).
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from unicodedata import category, normalize

from reportlab.pdfbase.pdfmetrics import registerFont, registerFontFamily
from reportlab.pdfbase.ttfonts import TTFont

PLAIN = "DejaVuSansCondensed"
BOLD = "DejaVuSansCondensed-Bold"
UNKNOWN = "\N{REPLACEMENT CHARACTER}"
_FONTS = Path(__file__).parent / "fonts"
# What has no looks of its own: hyphens that may be, joiners, marks of direction, choices of a variant
# (Unicode, Default_Ignorable_Code_Point, from memory).
_UNSEEN = frozenset(
    code
    for first, last in (
        (0xAD, 0xAD),
        (0x34F, 0x34F),
        (0x61C, 0x61C),
        (0x180B, 0x180F),
        (0x200B, 0x200F),
        (0x202A, 0x202E),
        (0x2060, 0x206F),
        (0xFE00, 0xFE0F),
        (0xFEFF, 0xFEFF),
        (0xE0000, 0xE0FFF),
    )
    for code in range(first, last + 1)
)
_BLANK = ("Zs", "Zl", "Zp", "Cc")


@cache
def letters() -> frozenset[str]:
    """Every letter that a paper can show. Loads the fonts, once in a process."""
    faces = [TTFont(name, str(_FONTS / f"{name}.ttf"), asciiReadable=False) for name in (PLAIN, BOLD)]
    for face in faces:
        registerFont(face)
    registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)
    plain, bold = (frozenset(map(chr, face.face.charToGlyph)) for face in faces)
    return plain & bold


class Setter:
    """Sets the texts of one paper, and remembers which letters it had no type for, as they came."""

    def __init__(self) -> None:
        self._missing: dict[str, None] = {}

    @property
    def missing(self) -> tuple[str, ...]:
        return tuple(self._missing)

    def __call__(self, text: str) -> str:
        """The text with a sign that nobody overlooks for each letter that is missing.

        Accents are put on their letters first, as no mark is moved to its place later.
        """
        known = letters()
        whole = normalize("NFC", text)
        if known.issuperset(whole):
            return whole
        return "".join(self._one(letter, letter in known) for letter in whole)

    def _one(self, letter: str, is_known: bool) -> str:
        if is_known:
            return letter
        if ord(letter) in _UNSEEN:
            return ""
        if category(letter) in _BLANK:
            return " "
        self._missing[letter] = None
        return UNKNOWN
