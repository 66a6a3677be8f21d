"""Findings to draw, and what a drawing holds, read back from its SVG."""

from collections.abc import Iterator
from xml.etree import ElementTree as ET

from kits.fit import Band, Finding, Length, Measured, Term, Wanted, judge
from kits.picturing import Mark, Marks
from kits.picturing.strokes import SIZES, WIDTH, room

SVG = "{http://www.w3.org/2000/svg}"
ENGINE = "engine OM-3A"
MARKS: Marks = {
    f"{ENGINE} plane": Mark("E", "engine plane"),
    "Pulley Corran CP-104 hub": Mark("1", "Pulley"),
    "Spacer Corran CS-2 thickness": Mark("2", "Spacer"),
    "Pulley Corran CP-104 bore": Mark("1", "Pulley"),
    f"{ENGINE} nose": Mark("E", "engine nose"),
}


def term(sign: int, owner: str, name: str, size: str | None, role: str = "link") -> Term:
    return Term(sign, Measured(owner, name, Band.parse(size) if size else None, "drawing"), role=role)


def length(text: str | None) -> Length | None:
    return Length.parse(text) if text else None


def chain(
    hub: str | None = "39.60..39.65 mm",
    spacer: str = "0.05 mm",
    at_least: str | None = "0.30 mm",
    at_most: str | None = "0.60 mm",
) -> Finding:
    """An engine's plane less a pulley's hub and a shim that is thinner than a line."""
    terms = [
        term(1, ENGINE, "plane", "40.0..40.1 mm"),
        term(-1, "Pulley Corran CP-104", "hub", hub),
        term(-1, "Spacer Corran CS-2", "thickness", spacer),
    ]
    return judge("belt-plane", "Belt plane gap", terms, Wanted(length(at_least), length(at_most)))


def pair(
    bore: str | None = "25 H7 mm", shaft: str | None = "25 g6 mm", least: str = "0 mm", most: str = "0.06 mm"
) -> Finding:
    terms = [term(1, "Pulley Corran CP-104", "bore", bore, "bore"), term(-1, ENGINE, "nose", shaft)]
    return judge("play", "Play on the nose", terms, Wanted(length(least), length(most)))


def parsed(drawn: str) -> ET.Element:
    return ET.fromstring(drawn)  # noqa: S314  # ours


def words(drawn: str) -> str:
    return " ".join(node.text or "" for node in parsed(drawn).iter(f"{SVG}text"))


def boxes(drawn: str, kind: str) -> list[ET.Element]:
    return [node for node in parsed(drawn).iter(f"{SVG}rect") if node.get("class") == kind]


def widths(drawn: str, kind: str) -> list[float]:
    return [float(node.attrib["width"]) for node in boxes(drawn, kind)]


def balloons(drawn: str) -> list[str]:
    """The sign in every balloon: the text that follows its ring."""
    nodes = list(parsed(drawn).iter())
    rings = [i for i, node in enumerate(nodes) if node.get("class") == "callout"]
    return [nodes[i + 1].text or "" for i in rings]


def spans(drawn: str) -> Iterator[tuple[float, float]]:
    """From and to, across, of every box, line, ring and row of text outside of the hatches."""
    root = parsed(drawn)
    for node in root.iter():
        name, get = node.tag.removeprefix(SVG), node.attrib.get
        if name == "rect":
            yield float(get("x", "0")), float(get("x", "0")) + float(get("width", "0"))
        elif name == "line":
            yield min(float(get(k, "0")) for k in ("x1", "x2")), max(float(get(k, "0")) for k in ("x1", "x2"))
        elif name == "circle":
            yield float(get("cx", "0")) - float(get("r", "0")), float(get("cx", "0")) + float(get("r", "0"))
        elif name == "text":
            kind, x, wide = get("class", ""), float(get("x", "0")), 0.0
            assert kind in SIZES
            wide = room(node.text or "", kind)
            left = x - wide * {"middle": 0.5, "end": 1.0}.get(get("text-anchor", ""), 0.0)
            yield left, left + wide


def outside(drawn: str) -> list[tuple[float, float]]:
    return [(left, right) for left, right in spans(drawn) if left < -0.01 or right > WIDTH + 0.01]


def heights(drawn: str) -> Iterator[tuple[float, float]]:
    """From and to, downwards, of every box and the base line of every text."""
    for node in parsed(drawn).iter():
        if node.tag == f"{SVG}rect":
            top = float(node.get("y", "0"))
            yield top, top + float(node.get("height", "0"))
        elif node.tag == f"{SVG}text":
            yield float(node.get("y", "0")) - 8, float(node.get("y", "0"))
