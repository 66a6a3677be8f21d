"""Values for property tests, and brute force over the corners of bands as an oracle."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import product

from hypothesis import strategies as st

from kits.fit import Band, Length, Link, Measured, Term, Wanted

FACTORS = (Fraction(1), Fraction(1, 2), Fraction(2), Fraction(2, 3))

lengths = st.integers(-(10**9), 10**9).map(Length)
small = st.integers(-60, 60).map(Length)
factors = st.sampled_from(FACTORS)


def bands(ends: st.SearchStrategy[Length]) -> st.SearchStrategy[Band]:
    return st.tuples(ends, ends).map(lambda pair: Band(min(pair), max(pair)))


small_bands = bands(small)
narrow_bands = st.builds(lambda lo, width: Band(lo, lo + Length(width)), small, st.integers(0, 6))


@st.composite
def chain_links(draw: st.DrawFn, least: int = 1, sizes: st.SearchStrategy[Band] = small_bands) -> list[Link]:
    count = draw(st.integers(least, 4))
    signs, links = st.sampled_from((1, -1)), range(count)
    return [Link(f"link {i}", draw(signs), draw(sizes), draw(factors)) for i in links]


@st.composite
def known_terms(draw: st.DrawFn, sizes: st.SearchStrategy[Band] = small_bands) -> list[Term]:
    return [
        Term(link.sign, Measured("Corran", link.name, link.band, "drawing"), link.factor)
        for link in draw(chain_links(sizes=sizes))
    ]


@st.composite
def wishes(draw: st.DrawFn) -> Wanted:
    band = draw(small_bands)
    return draw(st.sampled_from((Wanted(band.lo, band.hi), Wanted(band.lo, None), Wanted(None, band.hi))))


def corners(signs_factors_bands: Sequence[tuple[int, Fraction | int, Band]]) -> Iterator[Fraction]:
    """The gap, in units of 10 nm, with every band at one of its two ends, in all ways."""
    for ends in product(*((band.lo, band.hi) for _, _, band in signs_factors_bands)):
        parts = zip(signs_factors_bands, ends, strict=True)
        yield sum((sign * Fraction(factor) * end.units for (sign, factor, _), end in parts), Fraction(0))


def link_corners(links: Sequence[Link]) -> list[Fraction]:
    return list(corners([(link.sign, link.factor, link.band) for link in links]))


def term_corners(terms: Sequence[Term]) -> list[Fraction]:
    known = [(t.sign, t.factor, t.measured.band) for t in terms if t.measured.band is not None]
    assert len(known) == len(terms)
    return list(corners(known))


def is_wanted(gap: Fraction, wanted: Wanted) -> bool:
    low_enough = wanted.at_most is None or gap <= wanted.at_most.units
    return low_enough and (wanted.at_least is None or gap >= wanted.at_least.units)
