"""The geometry of drawings: to scale, whatever is drawn stays inside, and colours can be read."""

import re
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit import (
    Band,
    Finding,
    Length,
    Measured,
    Question,
    Term,
    Verdict,
    Wanted,
    ask,
    judge,
    kind_of,
)
from kits.picturing import Mark, draw
from kits.picturing.stacks import section_of
from kits.picturing.strokes import WIDTH
from kits.picturing.style import COLOURS
from kits.picturing.zones import basic_size
from tests.kits.drawn import MARKS, SVG, boxes, chain, heights, outside, pair, parsed, term, widths

names = st.text(st.characters(exclude_categories=("Cs", "Cc", "Co", "Cn")), min_size=1, max_size=200)
lengths = st.one_of(
    st.integers(-(10**12), 10**12), st.integers(-300, 300), st.integers(0, 10**7), st.just(0)
).map(Length)
bands = st.tuples(lengths, lengths).map(lambda ends: Band(min(ends), max(ends)))
narrow = st.tuples(lengths, st.integers(0, 100)).map(lambda b: Band(b[0], b[0] + Length(b[1])))
sizes = st.one_of(st.none(), bands, narrow)


@st.composite
def terms(draw_one: st.DrawFn, most: int = 40) -> list[Term]:
    one = st.builds(
        Term,
        st.sampled_from((1, -1)),
        st.builds(Measured, names, names, sizes, names),
        st.sampled_from((1, 2, Fraction(1, 2), Fraction(2, 3))),
        st.just(()),
        st.sampled_from(("link", "bore", "depth")),
    )
    return draw_one(st.lists(one, min_size=1, max_size=most))


@st.composite
def pairs(draw_one: st.DrawFn) -> list[Term]:
    bore, shaft = (draw_one(st.builds(Measured, names, names, sizes, names)) for _ in range(2))
    return [Term(1, bore, role="bore"), Term(-1, shaft)]


@st.composite
def wishes(draw_one: st.DrawFn) -> Wanted:
    band, sides = draw_one(bands), draw_one(st.sampled_from(("both", "least", "most")))
    return Wanted(None if sides == "most" else band.lo, None if sides == "least" else band.hi)


def found(compared: Sequence[Term], wanted: Wanted, title: str) -> Finding:
    return judge("check", title, compared, wanted)


@given(st.one_of(terms(), pairs()), wishes(), names, st.lists(names, min_size=2, max_size=2))
def test_nothing_is_ever_drawn_outside(
    compared: list[Term], wanted: Wanted, title: str, said: list[str]
) -> None:
    marks = {compared[0].measured.label: Mark(said[0], said[1])}
    drawn = draw(found(compared, wanted, title), marks)
    assert outside(drawn) == []
    tall = float(parsed(drawn).attrib["viewBox"].split()[3])
    assert all(top >= -0.01 and bottom <= tall for top, bottom in heights(drawn))


@given(terms(most=6), wishes())
def test_the_ends_of_the_stacks_lie_as_far_apart_as_the_sum_says(
    compared: list[Term], wanted: Wanted
) -> None:
    known = [one for one in compared if one.measured.band is not None]
    if not known:
        return
    section = section_of(found(known, wanted, "gap"))
    gap = sum(one.sign * one.factor * one.measured.band.middle for one in known if one.measured.band)
    upper, lower = section.ends
    assert upper - lower == pytest.approx(float(gap) * section.scale, abs=1e-6)


@given(terms(most=8), wishes())
def test_every_part_is_as_wide_as_its_size_says(compared: list[Term], wanted: Wanted) -> None:
    section = section_of(found(compared, wanted, "gap"))
    for bar in (*section.upper, *section.lower):
        band = bar.term.measured.band
        if band is not None:
            size = abs(float(band.middle * bar.term.factor))
            assert bar.width == pytest.approx(size * section.scale, abs=1e-6)


@given(st.lists(st.one_of(bands, narrow), min_size=1, max_size=2))
def test_the_zero_line_stands_near_the_zones(known: list[Band]) -> None:
    lo, hi = min(band.lo for band in known), max(band.hi for band in known)
    reach = max(hi - lo, Length(1))
    assert lo - reach <= basic_size(known) <= hi + reach


@pytest.mark.parametrize(
    ("sizes", "basic"),
    [
        (("25 H7 mm", "25 g6 mm"), "25 mm"),
        (("16 H7 mm", "16 s6 mm"), "16 mm"),
        (("19.05 H7 mm", "19.05 f7 mm"), "19.05 mm"),
        (("62.00..62.03 mm", "62.25..62.28 mm"), "62 mm"),
    ],
)
def test_the_zero_line_is_the_size_that_the_pair_is_named_by(sizes: tuple[str, str], basic: str) -> None:
    assert basic_size([Band.parse(size) for size in sizes]) == Length.parse(basic)


def test_the_parts_of_a_chain_are_drawn_to_scale() -> None:
    plane, hub = widths(draw(chain("20.025 mm")), "part")
    assert plane == pytest.approx(2 * hub, rel=0.001)


def test_a_part_thinner_than_a_line_is_still_a_line() -> None:
    assert 1 <= widths(draw(chain(spacer="0.00001 mm")), "solid")[0] <= 2


def test_zones_are_drawn_to_one_scale_and_in_the_right_order() -> None:
    drawn = draw(pair("25 H7 mm", "25 g6 mm"), MARKS)
    bore, shaft = boxes(drawn, "part zone")[0], boxes(drawn, "plain zone")[0]
    heights = [float(zone.attrib["height"]) for zone in (bore, shaft)]
    assert heights[0] / heights[1] == pytest.approx(21 / 13, rel=0.01)
    assert float(bore.attrib["y"]) < float(shaft.attrib["y"])
    pressed = draw(pair("25 H7 mm", "25 s6 mm"), MARKS)
    bore, shaft = boxes(pressed, "part zone")[0], boxes(pressed, "plain zone")[0]
    assert float(shaft.attrib["y"]) < float(bore.attrib["y"])


def test_a_press_fits_hub_is_as_thick_as_its_check_says() -> None:
    kind = kind_of("press")
    given = {"bore": "20 H7 mm", "shaft": "20 s6 mm", "hub-outside": "60 mm", "length": "20 mm"}
    terms = [term(kind.role(role).sign, "Hub", role, size, role) for role, size in given.items()]
    terms += [
        Term(1, Measured("Hub", r, "steel", "stamp"), role=r) for r in ("hub-material", "shaft-material")
    ]
    (found,) = ask(Question(kind, "press", "Hub on its shaft", tuple(terms), None, (("torque", "20"),)))
    drawn = draw(found)
    wall, shaft = boxes(drawn, "part")[0], boxes(drawn, "plain")[0]
    assert float(wall.attrib["height"]) == pytest.approx(float(shaft.attrib["height"]), rel=0.01)


def test_the_result_lies_between_its_limits_as_it_does_in_truth() -> None:
    drawn = draw(chain("39.50..39.55 mm"))  # a gap of 0.40 to 0.55 within 0.30 to 0.60 mm
    bar, crossed = boxes(drawn, "solid result")[0], boxes(drawn, "")
    least = float(crossed[0].attrib["x"]) + float(crossed[0].attrib["width"])
    most = float(crossed[1].attrib["x"])
    assert float(bar.attrib["width"]) == pytest.approx((most - least) * 0.15 / 0.30, rel=0.01)
    assert float(bar.attrib["x"]) == pytest.approx(least + (most - least) / 3, abs=0.1)


def test_adjacent_parts_are_hatched_differently() -> None:
    terms = [term(1, f"part {i}", "length", "10 mm") for i in range(4)]
    drawn = draw(judge("g", "Gap", terms, Wanted(Length(0), None)))
    fills = [node.attrib["fill"] for node in boxes(drawn, "part")]
    assert len(fills) == 4 and all(a != b for a, b in pairwise(fills))


def test_it_has_no_width_of_its_own_and_fits_a_phone() -> None:
    root = parsed(draw(chain()))
    assert root.attrib["viewBox"].startswith(f"0 0 {WIDTH} ") and root.get("width") is None
    assert WIDTH <= 320


@pytest.mark.parametrize("verdict", list(Verdict))
def test_a_verdicts_colour_can_be_read_on_light_paper_and_on_dark(verdict: Verdict) -> None:
    light, dark = COLOURS[verdict]
    assert min(contrast(light, paper) for paper in ("#ffffff", "#fbf8f0", "#f5f0e3")) >= 4.5
    assert min(contrast(dark, paper) for paper in ("#000000", "#121212", "#14202f")) >= 4.5


def test_without_colour_only_the_ink_of_the_page_is_used() -> None:
    plain = re.sub(r"light-dark\([^)]*\)", "", draw(chain()))
    assert not re.search(r"#[0-9a-f]{3,6}\b|rgb", plain.split("</desc>")[1].replace("url(#", "url("))
    shapes = [node for node in parsed(draw(chain())).iter() if node.tag != f"{SVG}g"]
    assert all("verdict-" not in node.get("class", "") for node in shapes)


def contrast(one: str, other: str) -> float:
    """WCAG 2.2, contrast ratio."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def luminance(colour: str) -> float:
    """WCAG 2.2, relative luminance."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
