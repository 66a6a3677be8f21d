import subprocess
import sys
from fractions import Fraction
from itertools import product
from random import Random
from statistics import NormalDist, mean, stdev
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit import Band, Chain, FitError, Length, Link
from kits.fit.sampling import MOST_DRAWS, Distribution, Spread

from .strategies import chain_links, narrow_bands, small

MM = 100_000
shapes = st.sampled_from(("normal", "uniform"))
seeds = st.integers(0, 2**40)


def link(name: str, sign: int, lo: int, hi: int, factor: Fraction = Fraction(1)) -> Link:
    return Link(name, sign, Band(Length(lo), Length(hi)), factor)


def gaps(spread: Spread, chain: Chain) -> list[int]:
    """The gaps of a simulation in order, in units, for a chain whose gaps are whole units."""
    worst = chain.worst_case()
    counts = (
        (units, spread.inside(Length(units), Length(units)).inside)
        for units in range(worst.lo.units, worst.hi.units + 1)
    )
    return [units for units, count in counts for _ in range(count)]


@st.composite
def whole_chains(draw: st.DrawFn) -> Chain:
    links = draw(chain_links(sizes=narrow_bands))
    return Chain(Link(k.name, k.sign, k.band, Fraction(draw(st.integers(1, 2)))) for k in links)


@given(chain_links(), seeds, shapes)
def test_no_draw_leaves_the_worst_case(links: list[Link], seed: int, shape: Distribution) -> None:
    chain = Chain(links)
    worst, spread = chain.worst_case(), chain.monte_carlo(200, seed, shape)
    assert worst.lo <= spread.lo <= spread.hi <= worst.hi
    share = spread.inside(worst.lo, worst.hi)
    assert (share.share, share.error) == (1.0, 0.0)


@given(whole_chains(), seeds, shapes)
def test_every_gap_is_one_that_whole_steps_of_the_links_can_make(
    chain: Chain, seed: int, shape: Distribution
) -> None:
    sizes = [
        [k.sign * k.factor.numerator * u for u in range(k.band.lo.units, k.band.hi.units + 1)]
        for k in chain.links
    ]
    possible = {sum(choice) for choice in product(*sizes)}
    seen = gaps(chain.monte_carlo(60, seed, shape), chain)
    assert len(seen) == 60 and set(seen) <= possible


@given(whole_chains(), seeds, shapes)
def test_the_statistics_are_those_of_the_gaps_seen(chain: Chain, seed: int, shape: Distribution) -> None:
    spread = chain.monte_carlo(40, seed, shape)
    seen = gaps(spread, chain)
    assert spread.mean_mm == pytest.approx(mean(seen) / MM, abs=1e-12)
    assert spread.deviation_mm == pytest.approx(stdev(seen) / MM, abs=1e-12)
    assert (spread.lo.units, spread.hi.units) == (seen[0], seen[-1])
    for share, rank in ((0, 1), (0.05, 2), (0.051, 3), (Fraction(1, 2), 20), (1, 40)):
        assert spread.quantile(share).units == seen[rank - 1]


@given(whole_chains(), seeds, small, small)
def test_inside_counts_the_gaps_from_limit_to_limit(chain: Chain, seed: int, a: Length, b: Length) -> None:
    spread, low, high = chain.monte_carlo(50, seed), min(a, b), max(a, b)
    seen = gaps(spread, chain)
    assert spread.inside(low, high).inside == sum(low.units <= gap <= high.units for gap in seen)
    assert spread.inside(low, None).inside == sum(low.units <= gap for gap in seen)
    assert spread.inside(None, high).inside == sum(gap <= high.units for gap in seen)
    assert chain.capability(low, high, 50, seed) == spread.inside(low, high)


@given(chain_links(least=2), seeds, shapes, st.randoms())
def test_the_same_seed_gives_the_same_gaps_in_any_order_of_links(
    links: list[Link], seed: int, shape: Distribution, random: Random
) -> None:
    shuffled = list(links)
    random.shuffle(shuffled)
    first, second = (Chain(some).monte_carlo(100, seed, shape) for some in (links, shuffled))
    assert first == second and first.quantiles == second.quantiles


def test_another_seed_gives_other_gaps() -> None:
    chain = Chain([link("boss", 1, 0, 10_000), link("hub", -1, 0, 10_000)])
    assert chain.monte_carlo(100, 1).mean_mm != chain.monte_carlo(100, 2).mean_mm


def test_links_of_one_seed_are_drawn_independently() -> None:
    """Two equal links against each other: drawn alike, the gap would never vary."""
    chain = Chain([link("boss", 1, 0, 10_000), link("hub", -1, 0, 10_000)])
    alone = Chain(chain.links[:1]).monte_carlo(20_000, 3)
    assert chain.monte_carlo(20_000, 3).deviation_mm == pytest.approx(2**0.5 * alone.deviation_mm, rel=0.03)


def test_a_swapped_part_leaves_the_draws_of_the_others() -> None:
    boss, shim = link("boss", 1, 0, 10_000), link("shim", 1, 500, 500)
    alone, with_shim = (Chain(some).monte_carlo(1000, 5) for some in ([boss], [boss, shim]))
    moved = {share: gap + Length(500) for share, gap in alone.quantiles.items()}
    assert with_shim.quantiles == moved


def test_a_normal_link_is_a_normal_distribution_cut_at_the_ends_of_its_band() -> None:
    """Against the distribution function itself, each step within five standard errors."""
    chain, n = Chain([link("boss", 1, 0, 12)]), 200_000
    spread, normal = chain.monte_carlo(n, 11), NormalDist(6, 2)
    whole = normal.cdf(12) - normal.cdf(0)
    for units in range(13):
        upper, lower = min(units + 0.5, 12), max(units - 0.5, 0)
        chance = (normal.cdf(upper) - normal.cdf(lower)) / whole
        seen = spread.inside(Length(units), Length(units))
        assert seen.share == pytest.approx(chance, abs=5 * (chance * (1 - chance) / n) ** 0.5)


def test_a_uniform_link_takes_every_step_equally_often() -> None:
    chain, n = Chain([link("boss", 1, -5, 5)]), 110_000
    spread = chain.monte_carlo(n, 11, "uniform")
    for units in range(-5, 6):
        assert spread.inside(Length(units), Length(units)).inside == pytest.approx(10_000, abs=500)


@pytest.mark.parametrize(
    ("links", "gap"),
    [
        ([], 0),
        ([link("boss", 1, 700, 700)], 700),
        ([link("boss", 1, 700, 700), link("hub", -1, 200, 200, Fraction(3, 2))], 400),
    ],
)
@pytest.mark.parametrize("shape", ["normal", "uniform"])
def test_a_chain_that_cannot_vary_has_one_gap(links: list[Link], gap: int, shape: Distribution) -> None:
    spread = Chain(links).monte_carlo(10, 0, shape)
    assert spread.lo == spread.hi == Length(gap) == spread.quantile(0.5)
    assert (spread.mean_mm, spread.deviation_mm) == (gap / MM, 0.0)
    within, without = spread.inside(Length(gap), Length(gap)), spread.inside(Length(gap + 1), None)
    assert (within.share, within.error, without.share, without.error) == (1.0, 0.0, 0.0, 0.0)


def test_gaps_between_two_steps_are_rounded_outwards() -> None:
    spread = Chain([link("bore", 1, 7, 7, Fraction(1, 2))]).monte_carlo(10, 0)
    assert (spread.lo, spread.hi) == (Length(3), Length(4))
    assert spread.inside(Length(4), None).inside == spread.inside(None, Length(3)).inside == 0
    assert (spread.quantile(0.4), spread.quantile(0.6)) == (Length(3), Length(4))


def test_none_outside_among_those_seen_is_not_taken_for_certainty() -> None:
    chain = Chain([link("boss", 1, 0, 10_000)])
    share = chain.capability(Length(1), None, 100, 4)
    assert share.share == 1.0 and 0 < share.error < 0.02


def test_the_standard_error_is_the_binomial_one() -> None:
    share = Chain([link("boss", 1, 0, 9_999)]).capability(None, Length(4_999), 10_000, 4, "uniform")
    assert share.share == pytest.approx(0.5, abs=4 * share.error)
    assert share.error == pytest.approx(0.005, rel=0.001)


@pytest.mark.parametrize("shape", ["normal", "uniform"])
def test_the_longest_chain_allowed_neither_overflows_nor_leaves_the_worst_case(shape: Distribution) -> None:
    most = 2**51
    chain = Chain([link("boss", 1, -most, most), link("hub", -1, -most, most)])
    worst, spread = chain.worst_case(), chain.monte_carlo(1000, 1, shape)
    assert worst.lo <= spread.lo < Length(0) < spread.hi <= worst.hi


@pytest.mark.parametrize(
    "long",
    [
        link("boss", 1, 0, 2**52 + 2_000_001),
        link("boss", 1, -(10**400), 0),
        link("boss", -1, 10**30, 10**30),
        link("boss", 1, 0, 10_000, Fraction(1, 10**18)),
        link("boss", 1, 0, 1, Fraction(10**18)),
    ],
)
def test_a_chain_too_long_for_exact_sums_is_refused(long: Link) -> None:
    chain = Chain([long, link("hub", -1, 2_000_000, 2_000_100)])
    with pytest.raises(FitError, match="too long to simulate exactly"):
        chain.monte_carlo(10, 0)


CHAIN = Chain([link("boss", 1, 0, 100)])


@pytest.mark.parametrize(
    ("arguments", "advice"),
    [
        ((1, 0), "from 2 to 10,000,000 assemblies, not 1"),
        ((MOST_DRAWS + 1, 0), "from 2 to 10,000,000 assemblies"),
        ((10, -1), "zero or a positive whole number"),
        ((10, 0, "triangular"), "'normal' or 'uniform', not 'triangular'"),
    ],
)
def test_what_cannot_be_drawn_is_refused_with_what_to_do(arguments: Any, advice: str) -> None:
    with pytest.raises(FitError, match=advice):
        CHAIN.monte_carlo(*arguments)


@pytest.mark.parametrize("arguments", [(10.0, 0), (True, 0), (10, 0.5), (10, "x")])
def test_draws_and_seed_are_whole_numbers(arguments: Any) -> None:
    with pytest.raises(TypeError, match="must be int"):
        CHAIN.monte_carlo(*arguments)


def test_a_share_without_or_with_crossed_limits_is_refused() -> None:
    spread = CHAIN.monte_carlo(10, 0)
    with pytest.raises(FitError, match="give a lower limit, an upper limit or both"):
        spread.inside(None, None)
    with pytest.raises(FitError, match="from low to high"):
        spread.inside(Length(2), Length(1))


@pytest.mark.parametrize("share", [-0.1, 1.1, float("nan")])
def test_a_quantile_is_of_a_share_from_0_to_1(share: float) -> None:
    with pytest.raises(FitError, match="a share is from 0 to 1"):
        CHAIN.monte_carlo(10, 0).quantile(share)


def test_the_package_starts_without_numpy() -> None:
    check = "import sys, kits.fit; sys.exit('numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", check], check=False).returncode == 0
