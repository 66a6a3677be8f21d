from dataclasses import replace
from decimal import Decimal
from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.fit import Band, FitError, Length, Term, Verdict, Wanted, Work, judge

from .checks import TURN, band_of, gap, job_of, term
from .strategies import corners, is_wanted, known_terms, narrow_bands, term_corners, wishes

works = st.builds(
    lambda lowers, most, keeps, price: Work(
        "w", "Work", lowers, Length(most), Length(keeps), Decimal(price), 1, "bench"
    ),
    st.booleans(),
    st.integers(1, 60),
    st.integers(0, 4),
    st.integers(0, 3),
)


def reaching(terms: list[Term], wish: Wanted) -> dict[Decimal, list[tuple[Length, Band]]]:
    """By price, every work with its least amount, found by trying one amount after the other."""
    found: dict[Decimal, list[tuple[Length, Band]]] = {}
    for i, one in enumerate(terms):
        others = term_corners([*terms[:i], *terms[i + 1 :]])
        for work in one.works:
            for amount in map(Length, range(work.most.units + 1)):
                end = band_of(one).hi - amount if work.lowers else band_of(one).lo + amount
                target = Band.around(end, work.keeps)
                worked = corners([(one.sign, one.factor, target)])
                if all(is_wanted(own + other, wish) for own, other in product(worked, others)):
                    found.setdefault(work.price, []).append((amount, target))
                    break
    return found


@settings(max_examples=300, deadline=None)  # one in ten has a job, and brute force takes its time
@given(
    known_terms(narrow_bands),
    wishes(),
    st.lists(st.lists(works, min_size=1, max_size=2), min_size=4, max_size=4),
)
def test_a_job_is_the_cheapest_that_is_inside_at_every_corner_and_the_least(
    terms: list[Term], wish: Wanted, worklists: list[list[Work]]
) -> None:
    terms = [replace(one, works=tuple(ws)) for one, ws in zip(terms, worklists, strict=False)]
    finding = judge("gap", "Gap", terms, wish)
    if finding.verdict in (Verdict.GOES_TOGETHER, Verdict.MEASURE_FIRST):
        assert finding.job is None
        return
    found = reaching(terms, wish)
    assert (finding.verdict is Verdict.GOES_WITH_WORK) == bool(found)
    if finding.job:
        assert finding.job.work.price == min(found)
        cheapest = found[min(found)]
        assert finding.job.amount == min(amount for amount, _ in cheapest)
        assert (finding.job.amount, finding.job.target) in cheapest


def test_a_job_says_what_to_take_off_and_what_to_work_to() -> None:
    finding = gap(term(1, "30.60..30.70 mm", works=(TURN,)), term(-1, "30.00 mm", "hub length"))
    assert finding.verdict is Verdict.MEASURE_FIRST  # 0.60 is allowed, so some brackets need no work
    finding = gap(term(1, "30.61..30.70 mm", works=(TURN,)), term(-1, "30.00 mm", "hub length"))
    assert finding.verdict is Verdict.GOES_WITH_WORK
    assert (str(job_of(finding).amount), str(job_of(finding).target)) == ("0.12 mm", "30.56 to 30.60 mm")
    assert finding.reason == (
        "Belt plane gap is 0.61 to 0.70 mm (0.0240 to 0.0276 in), wanted 0.10 to 0.60 mm "
        "(0.0040 to 0.0236 in). Turn down: take up to 0.12 mm (0.0048 in) off Corran bracket boss "
        "height, to 30.56 to 30.60 mm (1.2032 to 1.2047 in)."
    )


def test_a_work_reaches_exactly_as_far_as_it_may_and_no_step_further() -> None:
    hub = term(-1, "30.00 mm", "hub length")
    assert gap(term(1, "31.08 mm", works=(TURN,)), hub).verdict is Verdict.GOES_WITH_WORK
    assert gap(term(1, "31.08001 mm", works=(TURN,)), hub).verdict is Verdict.DOES_NOT_GO


def test_of_equal_prices_the_quicker_work_is_chosen_then_the_one_that_takes_less() -> None:
    slow, fine = replace(TURN, code="slow", minutes=60), replace(TURN, code="fine", keeps=Length(0))
    finding = gap(term(1, "30.70 mm", works=(slow, TURN, fine)), term(-1, "30.00 mm", "hub length"))
    assert job_of(finding).work.code == "fine"
    finding = gap(
        term(1, "30.70 mm", works=(replace(slow, keeps=Length(0)), TURN)), term(-1, "30.00 mm", "hub")
    )
    assert job_of(finding).work.code == "turn"


def test_work_on_a_part_that_takes_from_the_gap_opens_a_gap_too_small() -> None:
    finding = gap(term(1, "30 mm", "boss height"), term(-1, "30.05 mm", "hub length", works=(TURN,)))
    assert (finding.verdict, job_of(finding).feature) == (Verdict.GOES_WITH_WORK, "hub length")
    assert str(job_of(finding).target) == "29.86 to 29.90 mm"


def test_a_work_that_cannot_hold_the_wanted_width_is_no_way_out() -> None:
    coarse = replace(TURN, keeps=Length.parse("0.30 mm"))
    assert gap(term(1, "0.70 mm", works=(coarse,))).verdict is Verdict.DOES_NOT_GO


@pytest.mark.parametrize(
    "change",
    [
        {"most": Length(0)},
        {"keeps": Length(-1)},
        {"price": Decimal(-1)},
        {"price": Decimal("NaN")},
        {"minutes": -1},
    ],
)
def test_a_work_without_sense_is_refused(change: dict[str, Any]) -> None:
    with pytest.raises(FitError):
        replace(TURN, **change)
