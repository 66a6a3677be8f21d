"""What holds for everything that the package exports."""

import subprocess
import sys
from collections.abc import Callable
from copy import deepcopy
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

import kits.fit
from kits.fit import (
    KINDS,
    Amount,
    Band,
    BoltClass,
    Chain,
    Declared,
    Engagement,
    Figure,
    Finding,
    HoleMaterial,
    InterferenceLimits,
    Job,
    Kind,
    Length,
    Link,
    Material,
    Measured,
    Needed,
    Pair,
    Press,
    Question,
    Role,
    Setting,
    Term,
    Thread,
    Verdict,
    Wanted,
    Work,
    ask,
    bolt_class,
    engagement,
    engagement_needed,
    fit_of,
    hole_material,
    interference_limits,
    judge,
    kind_of,
    limits,
    material,
    mismatch,
    pair,
    press,
    problems,
    proof_load,
    reach,
    size_for,
    thread,
    worst,
)

MM = Length.parse("1 mm")
BAND = Band(MM, MM + MM)
MEASURED = Measured("Corran", "hub length", BAND, "drawing")
WORK = Work("turn", "Turn down", True, MM, Length(0), Decimal(1), 1, "bench")
TERM = Term(1, MEASURED, works=(WORK,))
WANTED = Wanted(MM, None)
FINDING = judge("gap", "Gap", [TERM], WANTED)
QUESTION = Question(KINDS["chain"], "gap", "Gap", (TERM,), WANTED, ())
M12, CLASS, HOLE, STEEL = thread("M12"), bolt_class("8.8"), hole_material("cast iron"), material("steel")
JOINT = (BAND, MM, 2 * MM, Length(0), MM, STEEL, STEEL)
SOLID = Band.exactly(Length(0))
DECLARED = Declared("link", 1, "length", "", "hub length")

# A good call of every export, from which each argument in turn is made nonsense.
GOOD_CALLS: dict[str, tuple[Callable[..., object], tuple[Any, ...]]] = {
    "Amount": (Amount, (Decimal(1), Decimal(2), "kW")),
    "BoltClass": (BoltClass, ("8.8", "ISO 898-1")),
    "Engagement": (Engagement, (BAND, BAND)),
    "HoleMaterial": (HoleMaterial, ("cast iron", 200.0, Fraction(3, 2))),
    "InterferenceLimits": (InterferenceLimits, (BAND, BAND)),
    "Material": (Material, ("steel", 207.0, 0.29, 1e-5, 210.0, "a table")),
    "Needed": (Needed, (MM, "as stated")),
    "Press": (Press, (BAND, BAND, MM, "hub", None, None)),
    "Thread": (Thread, ("M12x1.75", "ISO metric", "coarse", 12 * MM, Fraction(175_000), False, "6g")),
    "Band": (Band, (MM, MM)),
    "Chain": (Chain, ([Link("hub", 1, BAND)],)),
    "Declared": (Declared, ("link", 1, "length", "", "hub length")),
    "Figure": (Figure, ("pressure", "27.9 MPa", "worked out")),
    "Kind": (Kind, ("gap", "gap", "A gap.", (Role("link", "link"),), KINDS["chain"].judge, (), True)),
    "Length": (Length, (5,)),
    "Link": (Link, ("hub", 1, BAND, Fraction(1))),
    "Measured": (Measured, ("Corran", "hub length", BAND, "drawing")),
    "Pair": (Pair, (BAND, BAND)),
    "Question": (Question, (KINDS["chain"], "gap", "Gap", (TERM,), WANTED, (("friction", "0.12"),))),
    "Role": (Role, ("bore", "bore", "length", 1, 1, 1, "bore", "by hand", "")),
    "Setting": (Setting, ("friction", "friction", Decimal, "0.12", True)),
    "Term": (Term, (1, MEASURED, Fraction(1), (WORK,), "link")),
    "Verdict": (Verdict, ("goes together",)),
    "Wanted": (Wanted, (MM, MM)),
    "Work": (Work, ("turn", "Turn down", True, MM, MM, Decimal(1), 1, "bench")),
    "bolt_class": (bolt_class, ("8.8",)),
    "engagement": (engagement, (BAND, BAND, BAND)),
    "engagement_needed": (engagement_needed, (M12, CLASS, HOLE, Fraction(1))),
    "hole_material": (hole_material, ("steel",)),
    "interference_limits": (
        interference_limits,
        (BAND, BAND * 3, SOLID, BAND, STEEL, STEEL),
    ),
    "material": (material, ("steel",)),
    "mismatch": (mismatch, (M12, M12)),
    "press": (press, JOINT),
    "proof_load": (proof_load, (M12, CLASS)),
    "thread": (thread, ("M12",)),
    "ask": (ask, (QUESTION,)),
    "fit_of": (fit_of, ("25 H7/p6",)),
    "judge": (judge, ("gap", "Gap", [TERM], WANTED)),
    "kind_of": (kind_of, ("chain",)),
    "limits": (limits, (MM, "H7")),
    "pair": (pair, (BAND, BAND)),
    "problems": (problems, (KINDS["chain"], "Gap", [DECLARED], {}, True)),
    "reach": (reach, (TERM, Band(Length(1), MM // 2))),
    "size_for": (size_for, ([TERM], 1, WANTED, Fraction(1))),
    "worst": (worst, ([Verdict.GOES_TOGETHER],)),
    "Job": (Job, (WORK, "Corran", "hub length", MM, BAND)),
    "Finding": (
        Finding,
        ("gap", "Gap", Verdict.DOES_NOT_GO, BAND, WANTED, (TERM,), None, "Because.", (MEASURED,)),
    ),
}
# Errors, the registry, and what only a simulation makes.
NOT_CALLED = {"FitError", "KINDS", "LengthError", "Share", "Spread"}
NONSENSE = (object(), 1.5, float("nan"), True, b"1 mm", [object()], {"mm": 1}, complex(1, 1))
# Where a truth or a float is no nonsense.
SENSIBLE = [
    ("HoleMaterial", 1, 1.5), ("Material", 1, 1.5), ("Material", 4, 1.5), ("Thread", 5, True),
    ("Work", 2, True), ("Setting", 4, True), ("Kind", 6, True), ("problems", 4, True),
]  # fmt: skip
CASES = [
    (name, place, nonsense)
    for name, (_, arguments) in GOOD_CALLS.items()
    for place in range(len(arguments))
    for nonsense in NONSENSE
    if (name, place, nonsense) not in SENSIBLE
]
METHODS: list[Callable[[Any], object]] = [
    Length.parse,
    Length.from_mm,
    lambda value: Length.of(value, "mm"),
    lambda value: Length.of(1, value),
    MM.scaled,
    lambda value: MM + value,
    lambda value: MM - value,
    lambda value: MM * value,
    lambda value: MM // value,
    lambda value: value > MM,
    MM.format,
    Band.parse,
    lambda value: BAND + value,
    lambda value: BAND - value,
    lambda value: BAND * value,
    lambda value: value in BAND,
    BAND.format,
    lambda value: Chain([Link("hub", 1, BAND)]).needed(value, BAND),
    lambda value: Chain([Link("hub", 1, BAND)]).needed("hub", value),
]


def test_every_export_is_fed_nonsense() -> None:
    assert set(kits.fit.__all__) == set(GOOD_CALLS) | NOT_CALLED


@pytest.mark.parametrize("name", GOOD_CALLS)
def test_the_good_calls_are_good(name: str) -> None:
    call, arguments = GOOD_CALLS[name]
    call(*arguments)


@pytest.mark.parametrize(("name", "place", "nonsense"), CASES)
def test_nonsense_is_refused(name: str, place: int, nonsense: Any) -> None:
    call, arguments = GOOD_CALLS[name]
    with pytest.raises((TypeError, ValueError)):
        call(*arguments[:place], nonsense, *arguments[place + 1 :])


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("nonsense", NONSENSE)
def test_nonsense_is_refused_by_methods(method: Callable[[Any], object], nonsense: Any) -> None:
    with pytest.raises((TypeError, ValueError)):
        method(nonsense)


def test_inputs_are_left_as_they_were() -> None:
    arguments = {name: deepcopy(arguments) for name, (_, arguments) in GOOD_CALLS.items()}
    for name, (call, given) in GOOD_CALLS.items():
        result = call(*given)
        if isinstance(result, Chain):
            result.worst_case(), result.rss(), result.shares(), result.needed("hub", BAND)
            assert result.links == tuple(arguments[name][0])
        assert given == arguments[name]


def test_a_finding_keeps_no_list_that_the_caller_may_still_change() -> None:
    terms = [TERM]
    finding = judge("gap", "Gap", terms, WANTED)
    terms.clear()
    assert finding.terms == (TERM,)


def test_the_package_loads_without_django_clock_network_or_environment() -> None:
    program = (
        "import sys; before = set(sys.modules); import kits.fit; new = set(sys.modules) - before; "
        "print(sorted(new & {'django', 'socket', 'time', 'datetime', 'asyncio'}))"
    )
    answer = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "[]"
