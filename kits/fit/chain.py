"""Linear dimension chains: what a gap can be when every link stays inside its band."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, isqrt

from kits.fit.band import Band
from kits.fit.errors import FitError, expect
from kits.fit.length import Length


@dataclass(frozen=True, slots=True)
class Link:
    """One dimension of a chain: it adds to the gap (sign +1) or takes from it (-1).

    A factor other than 1 serves a dimension of which only a part counts, such as half a diameter.
    """

    name: str
    sign: int
    band: Band
    factor: Fraction = Fraction(1)

    def __post_init__(self) -> None:
        expect(self.name, str, "a link's name")
        expect(self.band, Band, "a link's band")
        check_sign_and_factor(self.sign, self.factor)


def check_sign_and_factor(sign: int, factor: Fraction | int) -> None:
    """Raise unless sign is +1 or -1 and factor is a positive whole number or Fraction."""
    expect(sign, int, "a sign")
    expect(factor, (int, Fraction), "a factor")
    if sign not in (1, -1):
        raise FitError(f"a sign is +1 (adds to the gap) or -1 (takes from it), not {sign}")
    if factor <= 0:
        raise FitError(f"a factor is above zero, not {factor}; turn the direction with the sign")


class Chain:
    """A gap as the signed sum of its links."""

    def __init__(self, links: Iterable[Link]) -> None:
        self.links = tuple(links)
        for link in self.links:
            expect(link, Link, "a link of a chain")
        names = [link.name for link in self.links]
        if twice := sorted({name for name in names if names.count(name) > 1}):
            raise FitError(f"two links have the same name: {', '.join(twice)}; give each its own")

    def worst_case(self) -> Band:
        """The gap with every link at its worst end; outwards to 10 nm where a factor leaves a rest."""
        return _outwards(*span(self.links))

    def rss(self) -> Band:
        """The gap by root sum of squares, outwards to 10 nm.

        Assumes independent links, each centred in its band with the band at three standard
        deviations to either side; then about 99.7 % of gaps lie inside.
        """
        middle = sum((link.sign * link.factor * link.band.middle for link in self.links), Fraction(0))
        squares = sum(((link.factor * link.band.width.units / 2) ** 2 for link in self.links), Fraction(0))
        # With a common denominator d, middle = m/d and half = sqrt(s)/d with whole m and s. Rounding
        # sqrt(s) up to a whole number first changes no floor or ceiling of the quotient by whole d.
        d = middle.denominator * squares.denominator
        root = _root_up((squares * d * d).numerator)
        m = (middle * d).numerator
        return Band(Length((m - root) // d), Length(-((-m - root) // d)))

    def shares(self) -> dict[str, Fraction]:
        """Each link's share of the worst-case width; they sum to one, or all are zero."""
        widths = {link.name: link.factor * link.band.width.units for link in self.links}
        total = sum(widths.values(), Fraction(0))
        return {name: width / total if total else Fraction(0) for name, width in widths.items()}

    def needed(self, link_name: str, wanted: Band) -> Band | None:
        """The sizes of one link that keep the gap inside `wanted` whatever the other links are.

        The band the link has now is not looked at. None where no size can: then the other links
        together vary by more than is wanted.
        """
        expect(wanted, Band, "the wanted gap")
        link = next((link for link in self.links if link.name == link_name), None)
        if link is None:
            raise FitError(f"no link named {link_name!r}; the links are {[k.name for k in self.links]}")
        low, high = span(k for k in self.links if k is not link)
        ends = (wanted.lo.units - low, wanted.hi.units - high)
        least, most = (end / link.factor for end in (ends if link.sign > 0 else (-ends[1], -ends[0])))
        smallest, largest = ceil(least), floor(most)  # inwards: outwards would let the gap slip out
        return Band(Length(smallest), Length(largest)) if smallest <= largest else None


def span(links: Iterable[Link]) -> tuple[Fraction, Fraction]:
    """The exact lowest and highest sum of the links, in units of 10 nm."""
    low = high = Fraction(0)
    whole_low = whole_high = 0  # Whole factors, which are nearly all, need no slow fractions.
    for link in links:
        near, far = (link.band.lo, link.band.hi) if link.sign > 0 else (link.band.hi, link.band.lo)
        if link.factor.denominator == 1:
            whole_low += link.sign * link.factor.numerator * near.units
            whole_high += link.sign * link.factor.numerator * far.units
        else:
            low += link.sign * link.factor * near.units
            high += link.sign * link.factor * far.units
    return low + whole_low, high + whole_high


def _outwards(low: Fraction, high: Fraction) -> Band:
    return Band(Length(floor(low)), Length(ceil(high)))


def _root_up(square: int) -> int:
    """The smallest whole number whose square is at least `square`."""
    return isqrt(square - 1) + 1 if square else 0
