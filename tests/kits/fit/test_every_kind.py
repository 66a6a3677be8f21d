"""What holds for every kind of check there is; a kind without a sample fails."""

import json
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.fit import KINDS, Band, Length, Question, Term, Verdict, ask

from .samples import SAMPLES, Value, at_edge, questions, wider

EVERY_KIND = pytest.mark.parametrize("code", KINDS)
HELD = (Verdict.GOES_TOGETHER, Verdict.GOES_WITH_WORK)


def test_every_kind_has_a_sample_of_every_role() -> None:
    roles = {code: {role.code for role in kind.roles} for code, kind in KINDS.items()}
    assert {code: set(sample.values) for code, sample in SAMPLES.items()} == roles


def verdicts(question: Question) -> dict[str, Verdict]:
    found = {finding.code: finding.verdict for finding in ask(question)}
    assert len(found) == len(ask(question))  # each code once
    return found


def with_value(question: Question, place: int, value: Value | None) -> Question:
    terms = list(question.terms)
    terms[place] = replace(terms[place], measured=replace(terms[place].measured, value=value))
    return replace(question, terms=tuple(terms))


def places(question: Question) -> st.SearchStrategy[int]:
    return st.integers(0, len(question.terms) - 1)


def asked(code: str, check: Callable[[Question, st.DataObject], None]) -> None:
    """Ask `check` of many questions of a kind that have at least one term."""

    @settings(deadline=None)
    @given(questions(code).filter(lambda question: bool(question.terms)), st.data())
    def run(question: Question, data: st.DataObject) -> None:
        check(question, data)

    run()


@EVERY_KIND
def test_a_question_is_answered_in_plain_words_and_plain_values(code: str) -> None:
    def check(question: Question, data: st.DataObject) -> None:
        findings = ask(question)
        assert bool(findings) == question.applies
        for finding in findings:
            assert finding.code.split(".")[0] == "c" and finding.check == "c"
            assert finding.reason.endswith(".") and "  " not in finding.reason
            assert (finding.verdict is Verdict.GOES_WITH_WORK) == (finding.job is not None)
            assert bool(finding.measure) <= (finding.verdict is Verdict.MEASURE_FIRST)
            assert finding.figures or finding.result is not None or finding.measure
            json.dumps(finding.as_dict(), allow_nan=False)

    asked(code, check)


@EVERY_KIND
def test_no_verdict_improves_when_a_value_is_taken_away_or_known_less_closely(code: str) -> None:
    """From 'does not go' to 'measure first' is no improvement: neither is sold before it is settled.

    What is not known can no longer be shown to miss; to go on saying so would be to make it up.
    """

    def check(question: Question, data: st.DataObject) -> None:
        place = data.draw(places(question))
        value = question.terms[place].measured.value
        less = st.builds(wider, st.just(value), st.integers(0, 10_000), st.integers(0, 10_000))
        before = verdicts(question)
        after = verdicts(with_value(question, place, data.draw(st.one_of(st.none(), less))))
        assert before.keys() == after.keys()
        for part, verdict in after.items():
            assert verdict not in HELD or before[part].rank <= verdict.rank, part

    asked(code, check)


@EVERY_KIND
def test_the_codes_of_the_findings_depend_on_no_value(code: str) -> None:
    def check(question: Question, data: st.DataObject) -> None:
        other = question
        for place, term in enumerate(question.terms):
            values = SAMPLES[code].values[term.role]
            other = with_value(other, place, data.draw(st.one_of(st.none(), values)))
        assert [f.code for f in ask(question)] == [f.code for f in ask(other)]

    asked(code, check)


@EVERY_KIND
def test_the_order_of_the_terms_changes_no_verdict(code: str) -> None:
    def check(question: Question, data: st.DataObject) -> None:
        turned = replace(question, terms=tuple(data.draw(st.permutations(question.terms))))
        assert verdicts(question) == verdicts(turned)

    asked(code, check)


@EVERY_KIND
def test_what_is_unknown_is_named_or_does_not_matter(code: str) -> None:
    """Named in a reason and among what to measure; else no value of it would change a verdict."""

    def check(question: Question, data: st.DataObject) -> None:
        findings = ask(question)
        for place, term in enumerate(question.terms):
            if term.measured.value is not None or not findings:
                continue
            label = term.measured.label
            named = [f for f in findings if label in {m.label for m in f.measure} and label in f.reason]
            if not named:
                value = data.draw(SAMPLES[code].values[term.role])
                assert verdicts(with_value(question, place, value)) == verdicts(question), label

    asked(code, check)


@EVERY_KIND
def test_with_nothing_known_everything_is_measured_first(code: str) -> None:
    def check(question: Question, data: st.DataObject) -> None:
        for place in range(len(question.terms)):
            question = with_value(question, place, None)
        assert set(verdicts(question).values()) <= {Verdict.MEASURE_FIRST}

    asked(code, check)


def test_every_kind_that_sums_lengths_has_an_edge() -> None:
    with_lengths = {c for c, k in KINDS.items() if any(r.quantity == "length" for r in k.roles)}
    assert {code for code, sample in SAMPLES.items() if sample.across} == with_lengths


@pytest.mark.parametrize(
    ("code", "role", "step"),
    [(code, role, step) for code, sample in SAMPLES.items() for role, step in sample.across.items()],
)
def test_10_nm_across_a_limit_change_the_verdict_and_back(code: str, role: str, step: int) -> None:
    at_limit = at_edge(code)
    place = next(i for i, term in enumerate(at_limit.terms) if term.role == role)
    across = with_value(at_limit, place, moved(at_limit.terms[place], step))
    assert set(verdicts(at_limit).values()) == {Verdict.GOES_TOGETHER}
    assert set(verdicts(across).values()) != {Verdict.GOES_TOGETHER}
    back = with_value(across, place, moved(across.terms[place], -step))
    assert verdicts(back) == verdicts(at_limit)


def moved(term: Term, units: int) -> Band:
    assert term.measured.band is not None
    return term.measured.band + Length(units)
