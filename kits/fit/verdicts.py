"""From features to a verdict, with the figures that it rests on.

Wholly inside what is wanted goes together. Wholly outside goes with work if one shop work reaches
it, else it does not go. Across a limit, or with a feature unknown, it is measure first: a verdict is
never better than its data.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor

from kits.fit.band import Band
from kits.fit.chain import Chain, Link, check_sign_and_factor, span
from kits.fit.errors import FitError, expect, expect_items
from kits.fit.findings import Finding
from kits.fit.length import LARGEST, ZERO, Length
from kits.fit.measuring import settling
from kits.fit.reasons import does_not_go, goes_together, goes_with_work, straddles, unknown
from kits.fit.terms import Job, Measured, Term, Wanted, Work
from kits.fit.verdict import Verdict


def judge(
    code: str, title: str, terms: Sequence[Term], wanted: Wanted, possible: Wanted | None = None
) -> Finding:
    """Judge the signed sum of the terms, every one anywhere in its band, against what is wanted.

    Where the limits are not known exactly, `wanted` are those that are right for sure and `possible`
    the wider ones outside of which nothing can be right; between them it is measure first.

    The limits themselves count as inside. A shop work's target leaves the result inside for every
    value of the other terms, at the least amount; of several works the cheapest is taken, then the
    quickest, then the one that takes least.
    """
    expect(code, str, "a check's code")
    expect(title, str, "a check's title")
    expect(wanted, Wanted, "what a check wants")
    expect(possible, (Wanted, type(None)), "what may still be right")
    terms = tuple(terms)
    expect_items(terms, Term, "the terms of a check")
    if not terms:
        raise FitError("a check needs at least one term; name the features that it compares")
    chain = _chain(terms)
    missing = tuple(term for term in terms if term.measured.band is None)
    if missing:
        reason = unknown(title, missing, wanted, _room_for(missing, chain, wanted))
        measure = tuple(term.measured for term in missing)
        return Finding(code, title, Verdict.MEASURE_FIRST, None, wanted, terms, None, reason, measure)
    verdict, job, reason, measure = _judge_known(title, terms, chain, wanted, _limits(possible or wanted))
    return Finding(code, title, verdict, chain.worst_case(), wanted, terms, job, reason, measure)


def size_for(
    terms_without_open: Sequence[Term], sign_of_open: int, wanted: Wanted, factor: Fraction | int = 1
) -> Band | None:
    """The sizes of an open feature, such as a spacer's thickness, that give what is wanted.

    Every size in the band does so for every value of the other terms; None where no size of zero or
    more can. Where nothing bounds the size it ends at 10 km. An unknown term is a FitError.
    """
    check_sign_and_factor(sign_of_open, factor)
    expect(wanted, Wanted, "what a check wants")
    terms = tuple(terms_without_open)
    expect_items(terms, Term, "the terms of a check")
    missing = [term.measured.label for term in terms if term.measured.band is None]
    if missing:
        raise FitError(
            f"no size can be worked out while this is unknown: {', '.join(missing)}; measure first"
        )
    open_link = Link("open", sign_of_open, Band.exactly(ZERO), Fraction(factor))
    band = Chain([*_chain(terms).links, open_link]).needed("open", _limits(wanted))
    if band is None or band.hi < ZERO:
        return None
    return Band(max(band.lo, ZERO), min(band.hi, Length(LARGEST)))


def _chain(terms: tuple[Term, ...]) -> Chain:
    """The chain of the known terms, each link named by its place among all terms."""
    return Chain(
        Link(str(i), term.sign, term.measured.band, Fraction(term.factor))
        for i, term in enumerate(terms)
        if term.measured.band is not None
    )


def _limits(wanted: Wanted) -> Band:
    """Both limits; a side that is left open is put beyond anything a shop can hold."""
    lo = Length(-4 * LARGEST) if wanted.at_least is None else wanted.at_least
    hi = Length(4 * LARGEST) if wanted.at_most is None else wanted.at_most
    return Band(lo, hi)


def _room_for(missing: tuple[Term, ...], chain: Chain, wanted: Wanted) -> Fraction | None:
    """What each unknown feature may vary by if all share the room; None where a side is open."""
    if wanted.at_least is None or wanted.at_most is None:
        return None
    low, high = span(chain.links)
    return ((wanted.at_most - wanted.at_least).units - (high - low)) / len(missing)


def _judge_known(
    title: str, terms: tuple[Term, ...], chain: Chain, wanted: Wanted, possible: Band
) -> tuple[Verdict, Job | None, str, tuple[Measured, ...]]:
    # The exact span decides, not the band rounded to 10 nm: with a factor of 1/2 the rounded band
    # may touch a limit that the exact one clears.
    low, high = span(chain.links)
    result, limits = chain.worst_case(), _limits(wanted)
    if limits.lo.units <= low and high <= limits.hi.units:
        return Verdict.GOES_TOGETHER, None, goes_together(title, result, wanted), ()
    if low <= possible.hi.units and possible.lo.units <= high:
        overlap = min(high, Fraction(limits.hi.units)) - max(low, Fraction(limits.lo.units))
        overlap = max(overlap, Fraction(0))  # below zero where only the wider limits are reached
        chosen, room = settling([link.factor * link.band.width.units for link in chain.links], overlap)
        measure = tuple(terms[i] for i in chosen)
        settles = chain.needed(str(chosen[0]), limits) if len(chosen) == 1 else None
        reason = straddles(title, result, wanted, measure, room, settles)
        return Verdict.MEASURE_FIRST, None, reason, tuple(term.measured for term in measure)
    too_high = low > limits.hi.units
    job = _cheapest_job(terms, chain, limits, too_high)
    if job:
        return Verdict.GOES_WITH_WORK, job, goes_with_work(title, result, wanted, job), ()
    miss = Length(ceil(low) - limits.hi.units if too_high else limits.lo.units - floor(high))
    needed = [(term, chain.needed(str(i), limits)) for i, term in enumerate(terms)]
    return Verdict.DOES_NOT_GO, None, does_not_go(title, result, wanted, miss, too_high, needed), ()


def reach(term: Term, size: Band) -> Job | None:
    """The cheapest single shop work that brings a feature, now wholly outside a size, wholly into it."""
    expect(term, Term, "a term")
    expect(size, Band, "the size to reach")
    band = term.measured.band
    if band is None or (band.lo <= size.hi and size.lo <= band.hi):
        return None
    above = band.lo > size.hi
    jobs = [job for work in term.works if work.lowers == above and (job := _job(term, work, size))]
    return min(jobs, key=_effort, default=None)


def _effort(job: Job) -> tuple[Decimal, int, Length]:
    return job.work.price, job.work.minutes, job.amount


def _cheapest_job(terms: tuple[Term, ...], chain: Chain, limits: Band, too_high: bool) -> Job | None:
    """The cheapest single shop work that brings the result wholly inside, if there is one."""
    jobs = [
        job
        for i, term in enumerate(terms)
        for work in term.works
        if work.lowers == (too_high == (term.sign > 0))  # the other direction only worsens the miss
        if (job := _job(term, work, chain.needed(str(i), limits)))
    ]
    return min(jobs, key=_effort, default=None)


def _job(term: Term, work: Work, needed: Band | None) -> Job | None:
    """The job of least amount that leaves the feature inside `needed`, within the work's reach.

    The result misses for every value of the feature, so all of its band lies beyond `needed` on the
    side that the work cuts from: no feature is already past the target.
    """
    band = term.measured.band
    if band is None or needed is None or work.keeps + work.keeps > needed.width:
        return None
    middle = needed.hi - work.keeps if work.lowers else needed.lo + work.keeps
    amount = band.hi - middle if work.lowers else middle - band.lo
    if amount > work.most:
        return None
    measured = term.measured
    return Job(work, measured.owner, measured.name, amount, Band.around(middle, work.keeps))
