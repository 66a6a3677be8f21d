"""Keyways of a shaft and a hub: how many, how wide for the key, and at which angle to each other."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Final

from kits.fit.errors import FitError
from kits.fit.findings import Figure, Finding
from kits.fit.length import Length
from kits.fit.questions import Kind, Question, Role, Setting
from kits.fit.stating import (
    Span,
    amount_of,
    find_out,
    number_setting,
    outwards,
    rounded_down,
    rounded_up,
    said,
    same_counts,
    span_of,
    stated,
    titled,
)
from kits.fit.terms import Measured, Term, Wanted
from kits.fit.verdict import Verdict
from kits.fit.verdicts import judge

DEGREES: Final = "deg"


def _judge(question: Question) -> tuple[Finding, ...]:
    angle = (_angle(question),) if _has_angles(question) else ()
    return (_number(question), *_widths(question), *angle)


def _has_angles(question: Question) -> bool:
    return bool(question.of("shaft-angle") and question.of("hub-angle"))


def _number(question: Question) -> Finding:
    """As many in the hub as in the shaft; or fewer, where the check allows spare ones in the shaft."""
    terms = (question.one("shaft-keyways"), question.one("hub-keyways"))
    if question.given["spare-keyways"]:
        finding = _at_most_as_many(question, *terms)
    else:
        finding = same_counts(question, "number", terms, "number of keyways")
    if finding.verdict is not Verdict.GOES_TOGETHER or _has_angles(question) or _surely_one(terms[1]):
        return finding
    angle = Measured(terms[1].measured.owner, "angle between keyways", None, "not named by this check")
    reason = (
        f"{finding.reason} They also have to stand at the same angle, which this check does not name: "
        f"find out {angle.label} by trying the hub on the shaft, or name both angles in the check."
    )
    return replace(finding, verdict=Verdict.MEASURE_FIRST, reason=reason, measure=(angle,))


def _at_most_as_many(question: Question, shaft: Term, hub: Term) -> Finding:
    in_shaft, in_hub = span_of(shaft), span_of(hub)
    title, terms = titled(question, "number of keyways"), (shaft, hub)
    open_terms = [term for term in terms if (span := span_of(term)) is None or span[0] < span[1]]
    measure = []
    if in_shaft and in_hub and _surely_not(in_shaft, in_hub):
        verdict = Verdict.DOES_NOT_GO
        change = (
            f"{shaft.measured.label} would have to be at least {rounded_up(in_hub[0])}"
            if in_hub[0] > in_shaft[1]
            else f"{hub.measured.label} would have to be at least 1"
        )
        reason = f"{title}: {said(terms)}, which does not go; {change}."
    elif (
        in_shaft and in_hub and (1 <= in_hub[0] <= in_hub[1] <= in_shaft[0] or in_shaft[1] == in_hub[1] == 0)
    ):
        verdict = Verdict.GOES_TOGETHER
        reason = f"{title}: {said(terms)}. Keyways of the shaft that the hub lacks stay without a key."
    else:
        verdict, measure = Verdict.MEASURE_FIRST, [term.measured for term in open_terms]
        wish = "it goes together with at least one in the hub and no more than in the shaft"
        reason = f"{title}: {said(terms)}, so it may or may not go. {find_out(question, open_terms, wish)}"
    return stated(question, "number", verdict, reason, terms, measure, about="number of keyways")


def _surely_not(in_shaft: Span, in_hub: Span) -> bool:
    """The hub has more keyways than the shaft for sure, or none for a shaft that has a key."""
    return in_hub[0] > in_shaft[1] or (in_hub[1] < 1 <= in_shaft[0])


def _surely_one(hub: Term) -> bool:
    span = span_of(hub)
    return span is not None and span[1] <= 1


def _widths(question: Question) -> tuple[Finding, ...]:
    """The play of the key in each keyway; without the key, whether one key can suit both."""
    least, most = question.given["least-play"], question.given["most-play"]
    if least > most:
        raise FitError(f"the least play of a key, {least}, is above the most, {most}; write both again")
    key = question.chain("key-width")
    if key:
        return tuple(
            judge(
                question.part(f"width-{side}"),
                titled(question, f"play of the key in the {side}"),
                (*question.chain(f"{side}-width"), *key),
                Wanted(least, most),
            )
            for side in ("shaft", "hub")
        )
    shaft, hub = question.chain("shaft-width")[0], question.chain("hub-width")[0]
    between = judge(
        question.part("width"),
        titled(question, "width of the hub's keyway less the shaft's"),
        (hub, replace(shaft, sign=-1)),
        Wanted(least - most, most - least),
    )
    note = f"The key is not named by this check; one that suits both has a play of {least} to {most} in each."
    return (replace(between, reason=f"{between.reason} {note}"),)


def _angle(question: Question) -> Finding:
    """The angles differ by no more than the check allows; with one keyway in the hub there is none."""
    terms = (question.one("shaft-angle"), question.one("hub-angle"))
    allowed = Fraction(question.given["angle"])
    verdict, reason, measure = _angle_verdict(question, terms, allowed)
    limit = Figure("difference allowed", f"{_plain(allowed)} {DEGREES}", "setting of this check")
    apart = _difference(*terms)
    figures = (
        (limit, Figure("difference", str(outwards(*apart, DEGREES)), "worked out")) if apart else (limit,)
    )
    found = [term.measured for term in measure]
    about = "angle between keyways"
    reason = f"{titled(question, about)}: {reason}"
    counted = (*terms, question.one("hub-keyways"))
    return stated(question, "angle", verdict, reason, counted, found, figures, about)


def _angle_verdict(
    question: Question, terms: tuple[Term, Term], allowed: Fraction
) -> tuple[Verdict, str, list[Term]]:
    hub, difference = question.one("hub-keyways"), _difference(*terms)
    close = (
        f"read to {rounded_down(allowed / 10)} {DEGREES}, it goes together when both are within "
        f"{_plain(allowed)} {DEGREES} of each other"
    )
    if _surely_one(hub):
        reason = f"{said([hub])}, and a single keyway has no angle to meet."
        return Verdict.GOES_TOGETHER, reason, []
    if difference is None:
        missing = [term for term in terms if span_of(term) is None]
        reason = f"{said(terms)}, so it cannot be told. {find_out(question, missing, close)}"
        return Verdict.MEASURE_FIRST, reason, missing
    apart = (
        f"{said(terms)}, {outwards(*difference, DEGREES)} apart, and at most {_plain(allowed)} "
        f"{DEGREES} is wanted"
    )
    if difference[1] <= allowed:
        return Verdict.GOES_TOGETHER, f"{apart}.", []
    if difference[0] <= allowed:
        wide = [term for term in terms if (span := span_of(term)) and span[0] < span[1]]
        reason = f"{apart}, so it may or may not go. {find_out(question, wide, close)}"
        return Verdict.MEASURE_FIRST, reason, wide
    over = rounded_up(difference[0] - allowed)
    reason = f"{apart}. It misses by {over} {DEGREES} at the least; one would have to come that much nearer."
    if (count := span_of(hub)) and count[0] > 1:
        return Verdict.DOES_NOT_GO, reason, []
    single = find_out(question, [hub], "with a single keyway the angle does not matter")
    return Verdict.MEASURE_FIRST, f"{reason} {single}", [hub]


def _plain(allowed: Fraction) -> str:
    """The tolerance as it is written; never rounded up."""
    return str(rounded_down(allowed))


def _difference(one: Term, other: Term) -> Span | None:
    """How far the angles are apart at the least and at the most; None while one is unknown."""
    first, second = _degrees(one), _degrees(other)
    if first is None or second is None:
        return None
    low, high = first[0] - second[1], first[1] - second[0]
    return max(low, -high, Fraction(0)), max(high, -low)


def _degrees(term: Term) -> Span | None:
    amount = amount_of(term)
    if amount is not None and amount.unit != DEGREES:
        raise FitError(f"{term.measured.label} is in {amount.unit!r}; record an angle in {DEGREES!r}")
    return span_of(term)


def read_choice(text: str) -> bool:
    """'yes' or 'no'."""
    if text.strip().lower() not in ("yes", "no"):
        raise FitError(f"{text!r} is not a choice; write yes or no")
    return text.strip().lower() == "yes"


_COUNT: Final = "count them on the part"
_ANGLE: Final = "measure it on a dividing head or a rotary table, the smaller way round"

KEYWAY = Kind(
    code="keyway",
    name="keyways of a shaft and a hub",
    about="As many keyways in the hub as in the shaft, wide enough for the key and not too wide, and at "
    "the same angle where there is more than one. Three or more are taken to be equally spaced.",
    roles=(
        Role("shaft-keyways", "number of keyways in the shaft", "count", how=_COUNT),
        Role("hub-keyways", "number of keyways in the hub", "count", how=_COUNT),
        Role("shaft-width", "width of the shaft's keyway", tool="slot"),
        Role("hub-width", "width of the hub's keyway", tool="slot"),
        Role("key-width", "width of the key", least=0, sign=-1),
        Role(
            "shaft-angle",
            "smaller angle between the shaft's keyways",
            "rating",
            least=0,
            how=_ANGLE,
            unit=DEGREES,
        ),
        Role(
            "hub-angle",
            "smaller angle between the hub's keyways",
            "rating",
            least=0,
            how=_ANGLE,
            unit=DEGREES,
        ),
    ),
    judge=_judge,
    settings=(
        # A key left out carries nothing, and the drive was laid out for all of its keys: so only where
        # the catalogue desk says that fewer will do.
        Setting("spare-keyways", "shaft may have more keyways than the hub (yes or no)", read_choice, "no"),
        # Common practice, no source: they hold ISO 286 N9 (shaft) and JS9 (hub) on a key h9 up to 18 mm.
        Setting("least-play", "least play of the key, below zero tight", Length.parse, "-0.05 mm"),
        Setting("most-play", "most play of the key", Length.parse, "0.10 mm"),
        # At 0.1 deg two keyways on a 25 mm shaft are 0.02 mm out of line, about the play of a key.
        Setting("angle", "most that the angles differ, in deg", number_setting("0", "10", DEGREES), "0.1"),
    ),
)
