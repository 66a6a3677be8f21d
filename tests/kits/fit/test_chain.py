from fractions import Fraction
from math import ceil, floor
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.fit import Band, Chain, FitError, Length, Link

from .strategies import bands, chain_links, link_corners, small


def link(name: str, sign: int, text: str, factor: Fraction = Fraction(1)) -> Link:
    return Link(name, sign, Band.parse(text), factor)


@given(chain_links())
def test_the_worst_case_is_the_extreme_of_all_corners(links: list[Link]) -> None:
    gaps = link_corners(links)
    assert Chain(links).worst_case() == Band(Length(floor(min(gaps))), Length(ceil(max(gaps))))


@given(chain_links())
def test_the_root_sum_square_band_is_the_smallest_on_10_nm_steps(links: list[Link]) -> None:
    middle = sum((k.sign * k.factor * k.band.middle for k in links), Fraction(0))
    square = sum(((k.factor * k.band.width.units / 2) ** 2 for k in links), Fraction(0))
    band = Chain(links).rss()
    for room in (middle - band.lo.units, band.hi.units - middle):
        assert room >= 0 and room**2 >= square
        assert room < 1 or (room - 1) ** 2 < square


@given(chain_links())
def test_the_root_sum_square_band_never_exceeds_the_worst_case(links: list[Link]) -> None:
    assert Chain(links).rss() in Chain(links).worst_case()


@given(chain_links())
def test_shares_sum_to_one_unless_nothing_varies(links: list[Link]) -> None:
    shares = Chain(links).shares()
    assert sum(shares.values()) == (1 if any(k.band.width.units for k in links) else 0)
    assert all(share >= 0 for share in shares.values())


def test_shares_say_who_contributes_what() -> None:
    chain = Chain([link("boss", 1, "20 +/-0.03 mm"), link("hub", -1, "15 +/-0.02 mm", Fraction(1, 2))])
    assert chain.shares() == {"boss": Fraction(3, 4), "hub": Fraction(1, 4)}


@given(chain_links())
def test_shares_of_the_variance_sum_to_one_unless_nothing_varies(links: list[Link]) -> None:
    shares = Chain(links).variance_shares()
    assert sum(shares.values()) == (1 if any(k.band.width.units for k in links) else 0)
    assert list(shares) == [k.name for k in links]


def test_a_share_of_the_variance_is_by_the_square() -> None:
    chain = Chain([link("boss", 1, "20 +/-0.03 mm"), link("hub", -1, "15 +/-0.02 mm", Fraction(1, 2))])
    assert chain.variance_shares() == {"boss": Fraction(9, 10), "hub": Fraction(1, 10)}


def test_a_chain_without_links_has_no_shares() -> None:
    assert Chain([]).shares() == Chain([]).variance_shares() == {}


@given(chain_links(), bands(small))
def test_the_needed_sizes_are_those_that_keep_every_corner_inside(links: list[Link], wanted: Band) -> None:
    needed = Chain(links).needed("link 0", wanted)
    open_link, others = links[0], links[1:]
    rest = link_corners(others)
    for size in range(-200, 201):
        shifted = [gap + open_link.sign * open_link.factor * size for gap in rest]
        inside = all(wanted.lo.units <= gap <= wanted.hi.units for gap in shifted)
        assert inside == (needed is not None and Length(size) in needed)


def test_no_size_is_needed_where_the_others_vary_too_much() -> None:
    chain = Chain([link("housing", 1, "50 +/-0.2 mm"), link("spacer", -1, "10 mm")])
    assert chain.needed("spacer", Band.parse("0.1..0.3 mm")) is None


def test_a_link_that_the_chain_lacks_is_named_with_those_it_has() -> None:
    with pytest.raises(FitError, match="no link named 'spacer'; the links are"):
        Chain([link("boss", 1, "20 mm")]).needed("spacer", Band.parse("0..1 mm"))


def test_one_open_link_may_stand_alone_or_in_a_sequence() -> None:
    chain = Chain([link("housing", 1, "50 +/-0.02 mm"), link("spacer", -1, "10 mm")])
    wanted = Band.parse("0.1..0.3 mm")
    assert chain.needed(["spacer"], wanted) == chain.needed("spacer", wanted) == Band.parse("49.72..49.88 mm")


@pytest.mark.parametrize(
    ("names", "message"),
    [
        (["housing", "spacer"], r"two open links \(housing, spacer\): one sum gives one size"),
        (["housing", "spacer", "ring"], r"3 open links \(housing, spacer, ring\)"),
        ([], "no open link; name the one"),
        (["ring"], "no link named 'ring'"),
    ],
)
def test_a_chain_has_one_open_link(names: list[str], message: str) -> None:
    chain = Chain([link("housing", 1, "50 mm"), link("spacer", -1, "10 mm")])
    with pytest.raises(FitError, match=message):
        chain.needed(names, Band.parse("0..1 mm"))


def test_two_links_of_one_name_are_refused() -> None:
    with pytest.raises(FitError, match="same name: ring"):
        Chain([link("ring", 1, "1 mm"), link("ring", -1, "1 mm")])


@pytest.mark.parametrize(("sign", "factor"), [(0, 1), (2, 1), (1, 0), (1, Fraction(-1, 2))])
def test_a_sign_is_plus_or_minus_one_and_a_factor_above_zero(sign: int, factor: Fraction | int) -> None:
    with pytest.raises(FitError):
        Link("boss", sign, Band.parse("1 mm"), Fraction(factor))


def test_a_chain_without_links_has_no_gap() -> None:
    empty = Band(Length(0), Length(0))
    assert Chain([]).worst_case() == Chain([]).rss() == empty


@given(chain_links(least=2), st.randoms())
def test_the_order_of_links_changes_nothing(links: list[Link], random: Random) -> None:
    shuffled = list(links)
    random.shuffle(shuffled)
    for gap in (Chain.worst_case, Chain.rss):
        assert gap(Chain(shuffled)) == gap(Chain(links))
