"""Works of several checks on one kit, seen together."""

from decimal import Decimal

from kits.fit import Band, Finding, Length, Measured, Question, Term, Verdict, Wanted, Work, ask, kind_of
from kits.settling import settle

FACE = Work(
    "face", "Face", True, Length.parse("0.50 mm"), Length.parse("0.01 mm"), Decimal("45.00"), 30, "own bench"
)


def check(code: str, gap_at_least: str, gap_at_most: str, plane: str, hub: str = "40.40 mm") -> Finding:
    """Plane minus hub, of which the hub may be faced."""
    terms = [
        Term(1, Measured("engine", f"plane {code}", Band.parse(plane), "drawing")),
        Term(-1, Measured("pulley", "hub", Band.parse(hub), "drawing"), works=(FACE,)),
    ]
    wanted = Wanted(Length.parse(f"{gap_at_least} mm"), Length.parse(f"{gap_at_most} mm"))
    return asked(code, terms, wanted)


def asked(code: str, terms: list[Term], wanted: Wanted) -> Finding:
    return ask(Question(kind_of("chain"), code, code, tuple(terms), wanted))[0]


def test_without_works_nothing_changes() -> None:
    findings = (check("a", "0.10", "0.60", "40.70 mm"),)
    assert settle(findings).findings == findings and settle(findings).jobs == ()


def test_one_work_for_two_checks_is_done_and_paid_once_at_the_larger_amount() -> None:
    small, large = check("a", "0.10", "0.60", "40.45 mm"), check("b", "0.10", "0.60", "40.40 mm")
    settled = settle((small, large))
    assert [f.verdict for f in settled.findings] == [Verdict.GOES_WITH_WORK] * 2
    assert settled.jobs == (large.job,)
    assert "Another check needs more: Face, up to 0.11 mm" in settled.findings[0].reason


def test_a_work_that_spoils_a_check_that_was_right_makes_the_kit_not_go() -> None:
    needs, spoiled = check("a", "0.40", "0.60", "40.40 mm"), check("b", "0.10", "0.30", "40.60 mm")
    assert spoiled.verdict is Verdict.GOES_TOGETHER
    settled = settle((needs, spoiled))
    assert settled.findings[1].verdict is Verdict.DOES_NOT_GO
    assert "with the shop work that the kit needs elsewhere done (face on pulley hub)" in (
        settled.findings[1].reason
    )


def test_a_work_that_makes_a_check_unsure_makes_the_kit_measure_first() -> None:
    needs, unsure = check("a", "0.40", "0.60", "40.40 mm"), check("b", "0.10", "0.61", "40.60 mm")
    assert settle((needs, unsure)).findings[1].verdict is Verdict.MEASURE_FIRST


def test_works_that_cannot_both_be_done_are_not_claimed() -> None:
    deep, shallow = check("a", "0.40", "0.45", "40.40 mm"), check("b", "0.05", "0.10", "40.40 mm")
    assert {deep.verdict, shallow.verdict} == {Verdict.GOES_WITH_WORK}
    settled = settle((deep, shallow))
    assert settled.findings[1].verdict is Verdict.DOES_NOT_GO and settled.findings[1].job is None


def test_a_verdict_is_never_better_for_a_work_elsewhere() -> None:
    unknown = asked(
        "c",
        [Term(1, Measured("pulley", "hub", None, "")), Term(-1, Measured("nut", "height", None, ""))],
        Wanted(Length(0), None),
    )
    assert (
        settle((check("a", "0.10", "0.60", "40.40 mm"), unknown)).findings[1].verdict is Verdict.MEASURE_FIRST
    )
