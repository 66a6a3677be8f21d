"""The drawing of a check: to scale, in words as well, and safe to put into a page."""

import re
from decimal import Decimal
from xml.etree import ElementTree as ET

import pytest

from inventory.acting import ActError
from kits.customising import swap
from kits.drawing import draw, draw_check
from kits.fit import Band, Finding, Length, Measured, Term, Verdict, Wanted, Work, judge
from kits.models import CustomKit
from tests.clerks import Clerk
from tests.kits.builders import Conversion

SVG = "{http://www.w3.org/2000/svg}"
WORKS = (Work("w", "Face", True, Length.parse("0.4 mm"), Length(0), Decimal(1), 1, "bench"),)


def finding(hub: str | None, *, at_most: str | None = "0.60 mm", title: str = "Belt plane gap") -> Finding:
    terms = [
        Term(1, Measured("engine OM-3A", "plane", Band.parse("40.0..40.1 mm"), "drawing")),
        Term(-1, Measured("pulley", "hub", Band.parse(hub) if hub else None, "drawing"), works=WORKS),
    ]
    limits = Wanted(Length.parse("0.30 mm"), Length.parse(at_most) if at_most else None)
    return judge("belt-plane", title, terms, limits)


FINDINGS = {
    Verdict.GOES_TOGETHER: finding("39.60..39.65 mm"),
    Verdict.GOES_WITH_WORK: finding("40.10 mm"),
    Verdict.MEASURE_FIRST: finding("39.7..39.9 mm"),
    Verdict.DOES_NOT_GO: finding("41 mm"),
}


def words(drawn: str) -> str:
    return " ".join(node.text or "" for node in ET.fromstring(drawn).iter(f"{SVG}text"))  # noqa: S314  # ours


def bars(drawn: str, kind: str) -> list[float]:
    root = ET.fromstring(drawn)  # noqa: S314  # ours
    return [float(node.attrib["width"]) for node in root.iter(f"{SVG}rect") if node.get("class") == kind]


@pytest.mark.parametrize("verdict", list(Verdict))
def test_the_verdict_is_told_by_word_and_by_a_shape_of_its_own(verdict: Verdict) -> None:
    drawn = draw(FINDINGS[verdict])
    assert verdict.value in words(drawn)
    shapes = {v: re.findall(r"<g transform.*?</g>", draw(f))[0] for v, f in FINDINGS.items()}
    assert len({re.sub(r"translate\(.*?\)", "", shape) for shape in shapes.values()}) == 4


@pytest.mark.parametrize("verdict", list(Verdict))
def test_everything_is_said_once_more_in_text(verdict: Verdict) -> None:
    found = FINDINGS[verdict]
    root = ET.fromstring(draw(found))  # noqa: S314  # ours
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None and title.text == f"Belt plane gap: {verdict.value}"
    assert description is not None and description.text is not None
    assert found.reason in description.text
    assert "plus engine OM-3A plane 40.00 to 40.10 mm; minus pulley hub" in description.text
    assert (
        root.get("role") == "img"
        and root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"
    )


def test_parts_are_drawn_to_scale() -> None:
    plane, hub = bars(draw(finding("20.025 mm")), "cut")
    assert plane == pytest.approx(2 * hub, rel=0.01)


def test_it_has_no_width_of_its_own_and_fits_a_phone() -> None:
    root = ET.fromstring(draw(FINDINGS[Verdict.DOES_NOT_GO]))  # noqa: S314  # ours
    assert root.get("viewBox", "").startswith("0 0 360 ") and root.get("width") is None
    for node in root.iter(f"{SVG}rect"):
        if node.get("x"):
            assert float(node.attrib["x"]) + float(node.attrib["width"]) <= 360


def test_no_colour_is_named() -> None:
    for found in FINDINGS.values():
        assert not re.search(r"#[0-9a-f]{3,6}\b|rgb|red|green", draw(found).split("</desc>")[1])


def test_what_is_not_known_is_drawn_as_a_question() -> None:
    drawn = draw(finding(None))
    assert "not known, measure it" in words(drawn) and "?" in words(drawn)
    assert bars(drawn, "result") == []


def test_one_limit_alone_is_drawn_alone() -> None:
    drawn = draw(finding("39.60 mm", at_most=None))
    assert "at least 0.30 mm" in words(drawn) and "at most" not in words(drawn)


def test_names_are_text_and_never_markup() -> None:
    drawn = draw(finding("39.60 mm", title='Gap <script>alert("x")</script> & more'))
    assert "<script" not in drawn
    assert 'Gap <script>alert("x")</script>' in words(drawn)


@pytest.mark.django_db
def test_a_check_of_a_kit_is_drawn_as_the_kit_is_filled_now(
    kit: CustomKit, belt: Conversion, clerk: Clerk
) -> None:
    assert "goes together" in words(draw_check(kit, "belt-plane"))
    kit = swap(clerk("counter"), kit, "pulley", belt.key("CP-120"))
    assert "goes with work" in words(draw_check(kit, "belt-plane"))


@pytest.mark.django_db
def test_a_check_that_there_is_not_is_refused_with_those_that_there_are(kit: CustomKit) -> None:
    with pytest.raises(ActError, match="it has: belt-plane, boss-gap, nose-fit, thread") as refused:
        draw_check(kit, "belt")
    assert refused.value.code == "no-such-check"
