"""What a reader of a PDF gets out of it: the text of each page, by the fonts' own tables of letters.

Reads what reportlab writes and no more (ISO 32000-1, 7.3, 7.4, 9.4 and 9.10.3, from memory).
"""

from __future__ import annotations

import base64
import re
import zlib
from collections.abc import Iterator

_OBJECT = re.compile(rb"(\d+) 0 obj\s*(.*?)\s*endobj", re.DOTALL)
_STREAM = re.compile(rb"/Length (\d+).*?>>\s*stream\r?\n", re.DOTALL)
# A font that is chosen, or a text that is shown in it.
_SHOWN = re.compile(rb"/(F[\d+]+) [\d.]+ Tf|\(((?:[^()\\]|\\.)*)\) Tj", re.DOTALL)
_ESCAPED = re.compile(rb"\\([0-7]{1,3}|.)", re.DOTALL)
_PLAIN_ESCAPES = {b"n": b"\n", b"r": b"\r", b"t": b"\t", b"b": b"\b", b"f": b"\f"}

Font = dict[int, str]


def pages(pdf: bytes) -> Iterator[str]:
    """The text of each page, what is shown at once parted by a space."""
    objects = {int(number): body for number, body in _OBJECT.findall(pdf)}
    fonts = _fonts(objects)
    for body in objects.values():
        if page := re.search(rb"/Contents (\d+) 0 R", body):
            yield _text(_stream(objects[int(page[1])]), fonts)


def embedded(pdf: bytes) -> set[str]:
    """The names of the fonts that come with it."""
    described = [body for _, body in _OBJECT.findall(pdf) if b"/FontFile2 " in body]
    names = (re.search(rb"/FontName /(\S+)", body) for body in described)
    return {name[1].decode() for name in names if name}


def _fonts(objects: dict[int, bytes]) -> dict[bytes, Font]:
    named = re.compile(rb"/(F[\d+]+) (\d+) 0 R")
    fonts: dict[bytes, Font] = {}
    for body in objects.values():
        if b"stream" in body or not body.startswith(b"<<\n/F"):
            continue
        for name, number in named.findall(body):
            table = re.search(rb"/ToUnicode (\d+) 0 R", objects[int(number)])
            fonts[name] = _letters(_stream(objects[int(table[1])])) if table else {}
    return fonts


def _letters(table: bytes) -> Font:
    pairs = re.findall(rb"<([0-9A-F]{2})> <([0-9A-F]+)>\n", table.partition(b"beginbfchar")[2])
    return {int(code, 16): bytes.fromhex(letter.decode()).decode("utf-16-be") for code, letter in pairs}


def _stream(body: bytes) -> bytes:
    found = _STREAM.search(body)
    assert found is not None
    data = body[found.end() : found.end() + int(found[1])]
    if b"/ASCII85Decode" in body:
        data = base64.a85decode(data.strip().removesuffix(b"~>"))
    return zlib.decompress(data) if b"/FlateDecode" in body else data


def _text(content: bytes, fonts: dict[bytes, Font]) -> str:
    shown: list[str] = []
    letters: Font = {}
    for font, text in _SHOWN.findall(content):
        if font:
            letters = fonts[font]
        else:
            shown.append("".join(letters[code] for code in _ESCAPED.sub(_unescaped, text)))
    return " ".join(shown)


def _unescaped(escape: re.Match[bytes]) -> bytes:
    what = escape[1]
    return bytes([int(what, 8)]) if what.isdigit() else _PLAIN_ESCAPES.get(what, what)
