"""Linear dimension chains: what a gap can be when every link stays inside its band."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, isqrt, lcm

from kits.fit.band import Band
from kits.fit.errors import FitError, expect
from kits.fit.length import Length
from kits.fit.sampling import Distribution, Share, Spread, simulate


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
        # In whole numbers, which are quick: with d twice a common denominator of the factors, middle =
        # m/d and half = sqrt(s)/d. Rounding sqrt(s) up to a whole number first changes no floor or
        # ceiling of the quotient by whole d.
        common = lcm(*(link.factor.denominator for link in self.links))
        m = s = 0
        for link in self.links:
            times = link.factor.numerator * (common // link.factor.denominator)
            m += link.sign * times * (link.band.lo.units + link.band.hi.units)
            s += (times * link.band.width.units) ** 2
        d, root = 2 * common, _root_up(s)
        return Band(Length((m - root) // d), Length(-((-m - root) // d)))

    def monte_carlo(self, n: int, seed: int, distribution: Distribution = "normal") -> Spread:
        """The gap of n assemblies, each link drawn by itself inside its band.

        'normal': centred, the ends of the band at three standard deviations to either side, draws
        beyond them drawn again (so a link varies by 0.9866 of that deviation). 'uniform': every
        step of 10 nm equally often. The same seed gives the same gaps with the same release of
        NumPy, whatever the order of the links. Gaps are exact: where int64 could overflow or a
        float lose a step (the worst case beyond 2**52 steps of 10 nm, or of the part of 10 nm that
        the factors leave), it is a FitError and nothing is drawn.
        """
        return simulate(self.links, *span(self.links), n, seed, distribution)

    def capability(
        self,
        at_least: Length | None,
        at_most: Length | None,
        n: int,
        seed: int,
        distribution: Distribution = "normal",
    ) -> Share:
        """The share of n simulated assemblies whose gap is inside the limits; see monte_carlo.

        It takes for granted that no part outside its band is fitted.
        """
        return self.monte_carlo(n, seed, distribution).inside(at_least, at_most)

    def shares(self) -> dict[str, Fraction]:
        """Each link's share of the worst-case width; they sum to one, or all are zero."""
        return _parts_of_one({link.name: link.factor * link.band.width.units for link in self.links})

    def variance_shares(self) -> dict[str, Fraction]:
        """Each link's share of the variance of the gap; they sum to one, or all are zero.

        As for rss: independent links, all spread over their bands in the same shape.
        """
        return _parts_of_one({k.name: (k.factor * k.band.width.units) ** 2 for k in self.links})

    def needed(self, open_link: str | Sequence[str], wanted: Band) -> Band | None:
        """The sizes of the open link that keep the gap inside `wanted` whatever the others are.

        The band the link has now is not looked at. None where no size can: then the other links
        together vary by more than is wanted. Of a sequence of names there must be one.
        """
        expect(wanted, Band, "the wanted gap")
        link = self._open(open_link)
        low, high = span(k for k in self.links if k is not link)
        ends = (wanted.lo.units - low, wanted.hi.units - high)
        least, most = (end / link.factor for end in (ends if link.sign > 0 else (-ends[1], -ends[0])))
        smallest, largest = ceil(least), floor(most)  # inwards: outwards would let the gap slip out
        return Band(Length(smallest), Length(largest)) if smallest <= largest else None

    def _open(self, named: str | Sequence[str]) -> Link:
        expect(named, (str, Sequence), "the open link")
        names = [named] if isinstance(named, str) else list(named)
        if not names:
            raise FitError("no open link; name the one whose size is to be found")
        if len(names) > 1:
            count = "two" if len(names) == 2 else str(len(names))
            raise FitError(
                f"{count} open links ({', '.join(map(str, names))}): one sum gives one size; "
                "leave one open and give the others their sizes"
            )
        for link in self.links:
            if link.name == names[0]:
                return link
        raise FitError(f"no link named {names[0]!r}; the links are {[k.name for k in self.links]}")


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


def _parts_of_one(amounts: dict[str, Fraction]) -> dict[str, Fraction]:
    total = sum(amounts.values(), Fraction(0))
    return {name: amount / total if total else Fraction(0) for name, amount in amounts.items()}


def _outwards(low: Fraction, high: Fraction) -> Band:
    return Band(Length(floor(low)), Length(ceil(high)))


def _root_up(square: int) -> int:
    """The smallest whole number whose square is at least `square`."""
    return isqrt(square - 1) + 1 if square else 0
