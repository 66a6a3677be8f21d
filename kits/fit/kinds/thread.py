"""A bolt in a threaded hole: the threads match, enough of it engages, it does not bottom, it is strong.

A wrong bolt is the most dangerous mistake in the trade, so nothing here is taken on trust: what is
unknown is measured or read off first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from math import ceil
from typing import Final, TypeVar

from kits.fit.bolt_strength import bolt_class, proof_load
from kits.fit.engaging import Needed, engagement_needed, hole_material
from kits.fit.errors import FitError
from kits.fit.finding_out import found_out
from kits.fit.findings import Figure, Finding
from kits.fit.length import UNITS_PER_MM, Length
from kits.fit.questions import Kind, Question, Role, Setting
from kits.fit.stating import number_setting, stated, titled
from kits.fit.terms import Term, Wanted
from kits.fit.threads import mismatch, thread
from kits.fit.verdict import Verdict
from kits.fit.verdicts import judge

Read = TypeVar("Read")
_STEP: Final = UNITS_PER_MM // 100
_UNDECLARED: Final = Fraction(2)
_PRACTICE: Final = "common practice, no source"
_MARKS: Final = "read the marks on its head"


def _judge(question: Question) -> Iterator[Finding]:
    yield _match(question)
    if question.of("bolt-length"):
        yield _engaged(question)
        if question.of("depth"):
            yield _room(question)
    if question.of("class") and question.given["least-class"] is not None:
        yield _strong(question)


def _match(question: Question) -> Finding:
    terms = question.one("male"), question.one("female")
    if unknown := [term for term in terms if _blank(term)]:
        return found_out(question, "thread", unknown, about="thread")
    bolt, hole = (_must(term, thread) for term in terms)
    why = mismatch(bolt, hole)
    title = titled(question, "thread")
    reason = (
        f"{title}: {bolt} in {hole}, which match."
        if why is None
        else f"Wrong thread. {title}: {why} Use a bolt with {hole}."
    )
    verdict = Verdict.GOES_TOGETHER if why is None else Verdict.DOES_NOT_GO
    return stated(question, "thread", verdict, reason, terms, about="thread")


def _engaged(question: Question) -> Finding:
    """How far the bolt is screwed in, against the length that its thread needs."""
    about, terms = "thread engaged", _stack(question, 1)
    unknown = [term for role in ("male", "class", "material") for term in question.of(role) if _blank(term)]
    if unknown:
        return found_out(question, "engaged", [*unknown, *_unmeasured(terms)], about=about)
    try:
        needed = _needed(question)
    except FitError as error:  # The size has no such class: one of the two is not what it says.
        suspects = (*question.of("class"), *question.of("male"))
        return found_out(question, "engaged", suspects, str(error), about)
    finding = judge(question.part("engaged"), titled(question, about), terms, Wanted(needed.length, None))
    figures = (Figure("engagement needed", needed.length.format(rounding="up"), needed.basis),)
    return _named(
        replace(finding, figures=figures), "Too short", f"What is wanted is reckoned {needed.rule}."
    )


def _room(question: Question) -> Finding:
    """What is left below the bolt in a blind hole."""
    about = "room below the bolt"
    length, *clamped = _stack(question, -1)
    # The advice names the first two that would have to change: another bolt, before a deeper hole.
    terms = (length, *question.chain("depth"), *clamped)
    least, why = question.given["room"], "as stated"
    if least is None:
        bolt = _read(question.one("male"), thread)
        if bolt is None:
            return found_out(question, "room", [question.one("male"), *_unmeasured(terms)], about=about)
        least, why = Length(ceil(bolt.pitch)), f"one pitch of {bolt} ({_PRACTICE})"
    finding = judge(question.part("room"), titled(question, about), terms, Wanted(least, None))
    figures = (Figure("room wanted", least.format(rounding="up"), why),)
    return _named(replace(finding, figures=figures), "Bottoms", "A bolt that bottoms clamps nothing.")


def _strong(question: Question) -> Finding:
    """The bolt bears at least the proof load of the class that the place asks for."""
    about = "strength"
    term, male = question.one("class"), question.one("male")
    wanted, bolt, size = question.given["least-class"], _read(term, bolt_class), _read(male, thread)
    if bolt is None or size is None:
        return found_out(question, about, [one for one in (male, term) if _blank(one)], about=about)
    try:
        has, needs = (proof_load(size, one) for one in (bolt, wanted))
    except FitError as error:
        return found_out(question, about, (term, male), str(error), about)
    figures = [
        Figure(f"proof load of {size}, {one}", f"{load:.0f} N", one.standard)
        for one, load in ((bolt, has), (wanted, needs))
    ]
    enough = has >= needs
    said = f"{titled(question, about)}: {size} of {bolt} bears {has:.0f} N"
    reason = (
        f"{said}, wanted at least {needs:.0f} N, as {wanted} does."
        if enough
        else f"Too weak. {said}, and {needs:.0f} N is wanted; use a bolt of {wanted} or a higher one."
    )
    verdict = Verdict.GOES_TOGETHER if enough else Verdict.DOES_NOT_GO
    return stated(question, about, verdict, reason, (male, term), figures=figures, about=about)


def _needed(question: Question) -> Needed:
    """The longest engagement that the strengths and the multiple of the diameter ask for."""
    size = _must(question.one("male"), thread)
    bolt = _must(term, bolt_class) if (term := question.maybe("class")) else None
    hole = _must(term, hole_material) if (term := question.maybe("material")) else None
    given = question.given
    if hole is not None and given["hole-strength"] is not None:
        hole = replace(hole, tensile_mpa=float(given["hole-strength"]))
    multiple = given["multiple"]
    if hole is None and multiple is None:
        multiple = _UNDECLARED  # What the softest usual material needs.
    needed = engagement_needed(size, bolt, hole, multiple)
    # Strengths are not known any better than to a hundredth of a millimetre of thread.
    return replace(needed, length=Length(-(-needed.length.units // _STEP) * _STEP))


def _stack(question: Question, sign: int) -> tuple[Term, ...]:
    """The bolt less what it clamps, or (-1) what it clamps less the bolt."""
    bolt, clamped = question.chain("bolt-length"), question.chain("clamped")
    return tuple(replace(t, sign=sign * side * t.sign) for side, ts in ((1, bolt), (-1, clamped)) for t in ts)


def _named(finding: Finding, fault: str, why: str) -> Finding:
    """With the fault by its name in the trade, where there is one."""
    if finding.verdict is Verdict.GOES_TOGETHER:
        return finding
    named = f"{fault}. " if finding.verdict is Verdict.DOES_NOT_GO else ""
    return replace(finding, reason=f"{named}{finding.reason} {why}")


def _unmeasured(terms: tuple[Term, ...]) -> list[Term]:
    return [term for term in terms if term.measured.value is None]


_READERS: Final[dict[str, Callable[[str], object]]] = {
    "male": thread,
    "female": thread,
    "class": bolt_class,
    "material": hole_material,
}


def _blank(term: Term) -> bool:
    """Whether it is unknown, or is written in a way that cannot be read."""
    return _read(term, _READERS[term.role]) is None


def _read(term: Term, reader: Callable[[str], Read]) -> Read | None:
    try:
        return _must(term, reader)
    except FitError:
        return None


def _must(term: Term, reader: Callable[[str], Read]) -> Read:
    if not isinstance(term.measured.value, str):
        raise FitError(f"{term.measured.label} is unknown")
    return reader(term.measured.value)


_DIAMETERS: Final = number_setting("0.1", "10", "diameters")
_MPA: Final = number_setting("1", "10000", "MPa")

THREAD = Kind(
    code="thread",
    name="bolt and threaded hole",
    about=(
        "The threads match; with the bolt's length, enough engages by the strengths that are declared and "
        "by the usual multiple of the diameter; with the hole's depth, it does not bottom; with its class, "
        "it is strong enough. Terms that are clamped add to (or take from) the stack under the head."
    ),
    roles=(
        Role("male", "thread of the bolt", "text", how="gauge its pitch and measure its diameter"),
        Role("female", "thread of the hole", "text", how="gauge it, or try a bolt of known thread by hand"),
        Role("bolt-length", "length under the head", least=0),
        Role("clamped", "part of the clamped stack", least=0, most=None, sign=0),
        Role("depth", "depth of full thread in a blind hole", least=0, tool="depth"),
        Role("class", "class of the bolt", "text", least=0, how=_MARKS),
        Role("material", "material of the hole", "text", least=0, how="look it up or try it with a file"),
    ),
    judge=_judge,
    fixed_limits=True,
    grave=True,
    settings=(
        Setting("multiple", "engagement needed, in diameters", _DIAMETERS, optional=True),
        Setting("hole-strength", "tensile strength of the hole's material, in MPa", _MPA, optional=True),
        Setting("room", "room wanted below the bolt", Length.parse, optional=True),
        Setting("least-class", "class that the place asks for", bolt_class, optional=True),
    ),
)
