"""A sample of every kind of check: values for its roles that lie near enough to its limits to matter.

A new kind gets one entry here, and then all that `test_every_kind.py` asks is asked of it.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from hypothesis import strategies as st

from kits.fit import KINDS, Amount, Band, Kind, Length, Measured, Question, Term, Wanted, Work

from .checks import wanted

Value = Band | Amount | str
Values = st.SearchStrategy[Value]


@dataclass(frozen=True)
class Sample:
    """`values` gives known values by role. `edge` is a check just at a limit, as (role, sign, value):
    all of it goes together there, and no longer when a length moves by 10 nm as in `across`, by role.
    """

    values: Mapping[str, Values]
    edge: tuple[tuple[str, int, Value], ...] = ()
    across: Mapping[str, int] = field(default_factory=dict)
    wanted: Wanted | None = None
    settings: tuple[tuple[str, str], ...] = ()


def near(size: str, by: str = "0.05 mm", width: str = "0.05 mm") -> Values:
    """Bands about a size, some of them of no width."""
    middle, far, most = Length.parse(size), Length.parse(by).units, Length.parse(width).units
    return st.builds(
        lambda off, wide: Band(middle + Length(off), middle + Length(off + wide)),
        st.integers(-far, far),
        st.one_of(st.just(0), st.integers(0, most)),
    )


def between(least: int, most: int, unit: str = "", width: int = 2) -> Values:
    """Counts or ratings, some of them exact."""
    return st.builds(
        lambda lo, wide: Amount(Decimal(lo), Decimal(lo + wide), unit),
        st.integers(least, most),
        st.one_of(st.just(0), st.integers(0, width)),
    )


def one_of(*texts: str) -> Values:
    return st.sampled_from(texts)


def at(text: str) -> Band:
    return Band.parse(text)


def many(number: int) -> Amount:
    return Amount.exactly(number)


SAMPLES: dict[str, Sample] = {
    "chain": Sample(
        {"link": near("0.30 mm", "0.30 mm"), "depth": near("0.30 mm", "0.30 mm")},
        edge=(("link", 1, at("30.60 mm")), ("link", -1, at("30 mm"))),
        across={"link": 1},
        wanted=wanted("0.10 mm", "0.60 mm"),
    ),
    "pair": Sample(
        {"bore": near("20.05 mm"), "shaft": near("20 mm")},
        edge=(("bore", 1, at("20.08 mm")), ("shaft", -1, at("20 mm"))),
        across={"bore": 1, "shaft": -1},
        wanted=wanted("0.02 mm", "0.08 mm"),
    ),
    "press": Sample(
        {
            "bore": near("59.95 mm", "0.02 mm", "0.02 mm"),
            "shaft": near("60 mm", "0.02 mm", "0.02 mm"),
            "hub-outside": near("100 mm", "5 mm", "1 mm"),
            "shaft-bore": near("10 mm", "5 mm"),
            "length": near("50 mm", "10 mm"),
            "hub-material": one_of("steel", "cast iron", "no such stuff"),
            "shaft-material": one_of("steel"),
            "hub-roughness": near("4 um", "3 um", "1 um"),
            "shaft-roughness": near("4 um", "3 um", "1 um"),
        },
        edge=(
            ("bore", 1, at("59.945 mm")),
            ("shaft", -1, at("60 mm")),
            ("hub-outside", 1, at("100 mm")),
            ("length", 1, at("50 mm")),
            ("hub-material", 1, "steel"),
            ("shaft-material", 1, "steel"),
        ),
        across={"bore": -1, "shaft": 1},
        settings=(("torque", "500"),),
    ),
    "thread": Sample(
        {
            "male": one_of("M8", "M8x1", "5/16-18 UNC", "no such thread"),
            "female": one_of("M8", "M8x1", "5/16-18 UNC"),
            "bolt-length": near("30 mm", "3 mm", "1 mm"),
            "clamped": near("9 mm", "2 mm", "1 mm"),
            "depth": near("16 mm", "3 mm", "1 mm"),
            "class": one_of("8.8", "10.9", "no such class"),
            "material": one_of("steel", "cast iron", "no such stuff"),
        },
        settings=(("least-class", "8.8"),),
        edge=(
            ("male", 1, "M8"),
            ("female", 1, "M8"),
            ("bolt-length", 1, at("30 mm")),
            ("clamped", 1, at("14 mm")),
        ),
        across={"bolt-length": -1, "clamped": 1},
    ),
    "same": Sample(
        {"value": one_of("SPA", "spa", "13x10", "13 \N{MULTIPLICATION SIGN} 10", "XPA", "SPZ")},
        settings=(("stands-for", "SPA = 13x10; 13x10 = XPA"),),
    ),
    "same-count": Sample({"count": between(2, 4, width=1)}),
    "keyway": Sample(
        {
            "shaft-keyways": between(0, 2, width=1),
            "hub-keyways": between(0, 2, width=1),
            "shaft-width": near("6 mm"),
            "hub-width": near("6.02 mm"),
            "key-width": near("6 mm"),
            "shaft-angle": st.sampled_from(
                [Amount(Decimal(lo), Decimal(hi), "deg") for lo, hi in (("180", "180"), ("179.9", "180.1"))]
            ),
            "hub-angle": st.sampled_from(
                [Amount(Decimal(lo), Decimal(hi), "deg") for lo, hi in (("180", "180"), ("120", "180"))]
            ),
        },
        edge=(
            ("shaft-keyways", 1, many(1)),
            ("hub-keyways", 1, many(1)),
            ("shaft-width", 1, at("5.95 mm")),
            ("hub-width", 1, at("6.10 mm")),
            ("key-width", -1, at("6 mm")),
        ),
        across={"shaft-width": -1, "hub-width": 1, "key-width": -1},
    ),
    "bolt-circle": Sample(
        {
            "holes": between(5, 6, width=1),
            "mate-holes": between(5, 6, width=1),
            "hole": near("8.4 mm", "0.4 mm"),
            "mate-hole": near("8.4 mm", "0.4 mm"),
            "bolt": near("8 mm"),
            "position": near("0.1 mm", "0.1 mm", "0.1 mm"),
            "mate-position": near("0.1 mm", "0.1 mm", "0.1 mm"),
            "circle": near("100 mm", "0.1 mm"),
            "mate-circle": near("100 mm", "0.1 mm"),
        },
        edge=(
            ("holes", 1, many(6)),
            ("mate-holes", 1, many(6)),
            ("hole", 1, at("8.6 mm")),
            ("bolt", -1, at("8 mm")),
            ("position", -1, at("0.2 mm")),
            ("mate-position", -1, at("0.3 mm")),
            ("circle", -1, at("100 mm")),
            ("mate-circle", 1, at("100.1 mm")),
        ),
        across={"hole": -1, "bolt": 1, "position": 1, "mate-position": 1, "circle": -1, "mate-circle": 1},
    ),
    "bound": Sample(
        {"supply": between(10, 40, "l/min", 10), "demand": between(5, 30, "l/min", 10)},
        settings=(("reserve", "12.5"),),
    ),
}

_WORKS = st.builds(
    lambda lowers, most, keeps: Work(
        "cut", "Cut", lowers, Length(most), Length(keeps), Decimal(1), 1, "own bench"
    ),
    st.booleans(),
    st.integers(1, 50_000),
    st.integers(0, 1000),
)


def question_of(kind: Kind, terms: tuple[Term, ...]) -> Question:
    sample = SAMPLES[kind.code]
    return Question(kind, "c", "Check", terms, sample.wanted, sample.settings)


@st.composite
def questions(draw: st.DrawFn, code: str) -> Question:
    """Any well-formed question of a kind: its roles as often as they may be, some of them unknown."""
    kind = KINDS[code]
    terms: list[Term] = []
    for role in kind.roles:
        most = role.least + 2 if role.most is None else role.most
        for _ in range(draw(st.integers(role.least, most))):
            values = SAMPLES[code].values[role.code]
            value = draw(st.one_of(values, values, values, st.none()))
            works = draw(st.lists(_WORKS, max_size=1)) if role.quantity == "length" else []
            sign = role.sign or draw(st.sampled_from((1, -1)))
            terms.append(term_of(role.code, sign, len(terms), value, tuple(works)))
    return question_of(kind, tuple(terms))


def term_of(role: str, sign: int, place: int, value: Value | None, works: tuple[Work, ...] = ()) -> Term:
    """The term at a place in a question; each has an owner of its own."""
    return Term(sign, Measured(f"part {place}", role, value, "drawing"), works=works, role=role)


def at_edge(code: str) -> Question:
    """The sample's check just at a limit."""
    edge = SAMPLES[code].edge
    return question_of(KINDS[code], tuple(term_of(r, sign, i, v) for i, (r, sign, v) in enumerate(edge)))


def wider(value: object, below: int, above: int) -> Band | Amount | None:
    """A value known less closely; a designation is known or it is not."""
    if isinstance(value, Band):
        return Band(value.lo - Length(below), value.hi + Length(above))
    if isinstance(value, Amount):
        low = max(value.lo - below % 3, Decimal(0))
        return Amount(min(low, value.lo), value.hi + above % 3, value.unit)
    return None
