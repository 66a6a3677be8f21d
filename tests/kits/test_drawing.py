"""The drawing of a check: verdict, words, marks and question marks, safe to put into a page."""

import re
from dataclasses import replace
from decimal import Decimal

import pytest

from inventory.acting import ActError
from kits.customising import swap
from kits.fit import (
    Amount,
    Figure,
    Finding,
    Length,
    Measured,
    Question,
    Term,
    Verdict,
    Wanted,
    Work,
    ask,
    judge,
    kind_of,
)
from kits.models import CustomKit
from kits.picturing import Mark, draw, draw_check, marks_of
from kits.picturing.marks import named
from kits.reading import read_kit
from tests.clerks import Clerk
from tests.kits.builders import Conversion
from tests.kits.drawn import ENGINE, MARKS, SVG, balloons, boxes, chain, pair, parsed, term, widths, words

FACE = Work("w", "Face the hub", True, Length.parse("0.4 mm"), Length(0), Decimal(1), 1, "bench")


def with_work() -> Finding:
    hub = Term(
        -1, Measured("pulley", "hub", term(1, "", "", "40.10 mm").measured.band, "drawing"), 1, (FACE,)
    )
    plane = term(1, ENGINE, "plane", "40.0..40.1 mm")
    return judge("g", "Gap", [plane, hub], Wanted(Length.parse("0.30 mm"), Length.parse("0.60 mm")))


FINDINGS = {
    Verdict.GOES_TOGETHER: chain(),
    Verdict.GOES_WITH_WORK: with_work(),
    Verdict.MEASURE_FIRST: chain("39.3..39.9 mm"),
    Verdict.DOES_NOT_GO: chain("41 mm"),
}


def rating(sign: int, owner: str, least: int, most: int) -> Term:
    return Term(sign, Measured(owner, "flow", Amount(Decimal(least), Decimal(most), "l/min"), "maker's data"))


def flow() -> Finding:
    terms = (rating(1, "Pump", 60, 66), rating(-1, "Cooler", 25, 30), rating(-1, "Elbow", 15, 15))
    figures = (
        *(Figure(one.measured.label, one.measured.said, one.measured.source) for one in terms),
        Figure("asked for at the most", "45 l/min", "sum of the demands"),
    )
    return Finding("flow", "Flow", Verdict.GOES_TOGETHER, None, None, terms, None, "Enough.", (), figures)


@pytest.mark.parametrize("verdict", list(Verdict))
def test_the_verdict_is_told_by_word_and_by_a_shape_of_its_own(verdict: Verdict) -> None:
    assert FINDINGS[verdict].verdict is verdict
    assert verdict.value in words(draw(FINDINGS[verdict]))
    shapes = {v: re.findall(r"<g transform.*?</g>", draw(f))[0] for v, f in FINDINGS.items()}
    assert len({re.sub(r"translate\(.*?\)", "", shape) for shape in shapes.values()}) == 4


@pytest.mark.parametrize("found", [chain(), chain(None), pair(), flow()], ids=lambda f: f.title)
def test_everything_is_said_once_more_in_text(found: Finding) -> None:
    root = parsed(draw(found, MARKS))
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None and title.text == f"{found.title}: {found.verdict.value}"
    assert description is not None and description.text is not None
    said = [found.reason, *(one.measured.label for one in found.terms)]
    said += [one.measured.said for one in found.terms if one.measured.value is not None]
    said += [text for figure in found.figures for text in (figure.name, figure.value, figure.source)]
    said += [found.wanted.format()] if found.wanted else []
    said += [found.result.format()] if found.result else []
    assert [text for text in said if text not in description.text] == []
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"


def test_every_mark_stands_at_its_part_and_in_the_list() -> None:
    assert sorted(balloons(draw(chain(), MARKS))) == ["1", "1", "2", "2", "E", "E"]
    assert sorted(balloons(draw(pair(), MARKS))) == ["1", "1", "1", "E", "E", "E"]
    assert sorted(balloons(draw(flow(), {"Pump flow": Mark("7", "Pump")}))) == ["7", "7", "B", "B", "C", "C"]


def test_parts_are_named_where_there_is_room_and_in_the_list() -> None:
    drawn = words(draw(chain(), MARKS))
    assert drawn.count("Pulley") == 2 and drawn.count("Spacer") == 1
    assert "engine plane" in drawn and "Pulley hub" in drawn and "Spacer thickness" in drawn


@pytest.mark.parametrize(
    ("owner", "feature", "said"),
    [("Belt", "belt length", "Belt length"), ("Crank key", "key width", "Crank key width"),
     ("Belt", "belt", "Belt belt"), ("Belt pump", "shaft diameter", "Belt pump shaft diameter")],
)  # fmt: skip
def test_a_name_does_not_say_its_owner_twice(owner: str, feature: str, said: str) -> None:
    assert named(term(1, f"{owner} Corran CB-1", feature, "1 mm"), Mark("3", owner)) == said


def test_what_has_no_mark_gets_a_letter_and_its_owners_name() -> None:
    drawn = draw(chain())
    assert sorted(balloons(drawn)) == ["A", "A", "B", "B", "C", "C"]
    assert "Spacer Corran CS-2 thickness" in words(drawn)


def test_what_is_not_known_is_dashed_with_a_question_mark_and_a_tool() -> None:
    drawn = draw(chain(None), MARKS)
    assert "not known" in words(drawn) and "measure with a caliper (0.02 mm)" in words(drawn)
    assert words(drawn).count("?") == 2  # the part, and the result
    assert len(boxes(drawn, "unknown")) == 2 and widths(drawn, "solid result") == []


def test_a_bore_that_is_not_known_is_dashed_in_section_and_among_the_zones() -> None:
    drawn = draw(pair(None), MARKS)
    assert len(boxes(drawn, "unknown")) == 4  # two walls, its zone, the result
    assert "measure with a" in words(drawn)


def test_a_shop_work_is_told_with_the_size_to_work_to_and_drawn() -> None:
    drawn = draw(FINDINGS[Verdict.GOES_WITH_WORK])
    assert "Face the hub: hub to" in words(drawn)
    assert len(boxes(drawn, "plain")) == 1 and len(boxes(draw(chain()), "plain")) == 0


def test_one_limit_alone_is_drawn_alone() -> None:
    drawn = draw(chain(at_most=None))
    assert "at least 0.30 mm" in words(drawn) and "at most" not in words(drawn)


def test_what_is_no_length_is_a_ruled_table_of_its_figures() -> None:
    drawn = words(draw(flow()))
    assert "asked for at the most" in drawn and "45 l/min" in drawn and "goes together" in drawn
    assert "times larger" not in drawn


def test_demand_stands_against_supply_at_their_worst_on_one_scale() -> None:
    pump, cooler, elbow = widths(draw(flow()), "part")
    assert cooler + elbow == pytest.approx(pump * 45 / 60, rel=0.01)


def flow_asked(pump: int | None, reserve: str) -> str:
    """The flow check as the kind of check answers it."""
    kind = kind_of("bound")
    terms = (rating(1, "Pump", pump or 0, pump or 0), rating(-1, "Cooler", 40, 40))
    roles = [replace(one, role=role) for one, role in zip(terms, ("supply", "demand"), strict=True)]
    if pump is None:
        roles[0] = replace(roles[0], measured=Measured("Pump", "flow", None, "not recorded"))
    (found,) = ask(Question(kind, "flow", "Flow", tuple(roles), None, (("reserve", reserve),)))
    return draw(found)


def test_a_reserve_stands_dashed_at_the_end_of_the_demand() -> None:
    pump, cooler = widths(flow_asked(60, "25"), "part")
    assert widths(flow_asked(60, "25"), "unknown") == [pytest.approx(cooler / 4, rel=0.01)]
    assert cooler == pytest.approx(pump * 40 / 60, rel=0.01)
    assert widths(flow_asked(60, "0"), "unknown") == []


def test_a_rating_that_is_not_known_says_where_to_read_it() -> None:
    drawn = flow_asked(None, "0")
    assert "not known" in words(drawn) and "read its plate" in words(drawn)
    assert widths(drawn, "part") == []


def test_names_are_text_and_never_markup() -> None:
    evil = '<script>alert("x")</script> & "quotes"'
    limits = Wanted(Length(0), None)
    terms = [term(1, evil, evil, "4 mm"), term(-1, "b", "c", "3 mm")]
    found = judge('"><script>', f"Gap {evil}", terms, limits)
    drawn = draw(found, {f"{evil} {evil}": Mark(evil, evil)})
    assert "<script" not in drawn and parsed(drawn) is not None
    assert "alert(" in words(drawn)


@pytest.mark.django_db
def test_a_check_of_a_kit_is_drawn_as_the_kit_is_filled_now(
    kit: CustomKit, belt: Conversion, clerk: Clerk
) -> None:
    assert "goes together" in words(draw_check(kit, "belt-plane"))
    kit = swap(clerk("counter"), kit, "pulley", belt.key("CP-120"))
    assert "goes with work" in words(draw_check(kit, "belt-plane"))


@pytest.mark.django_db
def test_a_kits_balloons_are_the_numbers_of_its_parts_list(kit: CustomKit) -> None:
    conversion, fills = read_kit(kit)
    numbers = {slot.name: str(n) for n, slot in enumerate(conversion.slots, start=1)}
    marks = marks_of(conversion, fills)
    assert {mark.sign for label, mark in marks.items() if label.startswith("engine")} >= {"E"}
    named = [mark for mark in marks.values() if mark.sign != "E"]
    assert named and all(numbers[mark.name] == mark.sign for mark in named)
    pulley = next(numbers[slot.name] for slot in conversion.slots if slot.code == "pulley")
    drawn = draw_check(kit, "belt-plane")
    assert {"E", pulley} <= set(balloons(drawn))


@pytest.mark.django_db
def test_a_check_that_there_is_not_is_refused_with_those_that_there_are(kit: CustomKit) -> None:
    with pytest.raises(ActError, match="it has: belt-plane, boss-gap, nose-fit, thread") as refused:
        draw_check(kit, "belt")
    assert refused.value.code == "no-such-check"
