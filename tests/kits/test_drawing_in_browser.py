"""Drawings in a real browser: the letters that it sets stay inside, on a phone and on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from kits.fit import Length, Wanted, judge
from kits.picturing import draw
from tests.kits.drawn import MARKS, chain, pair, term
from tests.kits.test_drawing import flow

if TYPE_CHECKING:
    from playwright.sync_api import Browser

LONG = "Crankshaft pulley with a name that is far too long for any part of a drawing"
WIDE = [
    term(s, f"{LONG} {'W' * 90} {i}", LONG, f"{i}.12345..{i}.54321 mm") for i in range(20) for s in (1, -1)
]
FINDINGS = {
    "good": chain(),
    "unknown": chain(None),
    "bad": chain("41.12345..41.98765 mm"),
    "pair": pair("25.12345..25.98765 mm", "24.12345..27.98765 mm"),
    "press": pair("16 H7 mm", "16 s6 mm", "-0.045 mm", "-0.01 mm"),
    "table": flow(),
    "wide": judge("wide", f"{LONG} {'W' * 90}", WIDE, Wanted(Length.parse("0.12345 mm"), None)),
}
LEAVES = """() => [...document.querySelectorAll('svg text')].filter(text => {
  const box = text.getBBox(), whole = text.ownerSVGElement.viewBox.baseVal;
  return box.x < 0 || box.x + box.width > whole.width || box.y < 0 || box.y + box.height > whole.height;
}).map(text => text.textContent)"""
LETTERS = """() => Math.min(...[...document.querySelectorAll('svg text')].map(text =>
  parseFloat(getComputedStyle(text).fontSize) * text.getScreenCTM().a))"""


@pytest.mark.parametrize("name", FINDINGS)
def test_letters_stay_inside_and_are_large_enough_on_a_phone(browser: Browser, name: str) -> None:
    page = browser.new_page(viewport={"width": 360, "height": 740})
    try:
        page.set_content(f"<style>svg {{ width: 100% }}</style>{draw(FINDINGS[name], MARKS)}")
        assert page.evaluate(LEAVES) == []
        assert page.evaluate(LETTERS) >= 10
    finally:
        page.close()


@pytest.mark.parametrize(("scheme", "ink"), [("light", "rgb(29, 107, 60)"), ("dark", "rgb(143, 214, 166)")])
def test_the_colour_of_the_verdict_follows_the_page(browser: Browser, scheme: str, ink: str) -> None:
    page = browser.new_page()
    try:
        page.set_content(f'<body style="color-scheme: {scheme}">{draw(chain())}')
        word = page.get_by_text("goes together", exact=True).last
        assert word.evaluate("word => getComputedStyle(word).fill") == ink
    finally:
        page.close()
