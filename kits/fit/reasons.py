"""The sentences of a finding: one or two, in plain English, with the figures.

Millimetres are exact; inches stand in brackets, rounded so that they never flatter: results and
misses outwards, what is wanted or has to be reached inwards.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from kits.fit.band import Band
from kits.fit.length import LARGEST, ZERO, Length
from kits.fit.measuring import tool_for
from kits.fit.terms import Job, Term, Wanted


def goes_together(title: str, result: Band, wanted: Wanted) -> str:
    """The result lies wholly inside."""
    return f"{_is(title, result, wanted)}."


def goes_with_work(title: str, result: Band, wanted: Wanted, job: Job) -> str:
    """The result lies wholly outside, and a shop work reaches it."""
    verb = "take up to {} off" if job.work.lowers else "open by up to {}"
    amount = verb.format(job.amount.format(rounding="up"))
    target = job.target.format(rounding="in")
    return f"{_is(title, result, wanted)}. {job.work.name}: {amount} {_of(job)}, to {target}."


def does_not_go(
    title: str,
    result: Band,
    wanted: Wanted,
    miss: Length,
    too_high: bool,
    needed: Sequence[tuple[Term, Band | None]],
) -> str:
    """The result lies wholly outside, and no shop work reaches it."""
    changes = [text for term, band in needed if (text := _change(term, band, too_high))]
    if changes:
        advice = "; " + ", or ".join(changes[:2])
    else:
        advice = "; no change to a single one of these sizes would mend it"
    works = ", and no shop work listed reaches that" if any(term.works for term, _ in needed) else ""
    return (
        f"{_is(title, result, wanted)}. "
        f"It misses by {miss.format(rounding='up')} at the least{advice}{works}."
    )


def straddles(
    title: str,
    result: Band,
    wanted: Wanted,
    measure: Sequence[Term],
    room: Fraction,
    settles: Band | None,
) -> str:
    """The result lies across a limit; `settles` is the size that a single reading must show."""
    if not measure:
        return (
            f"{_is(title, result, wanted)}, so it may or may not go: what is wanted depends on sizes that "
            "are not known closely enough."
        )
    tools = " and ".join(_measure(term, room / len(measure)) for term in measure)
    wish = ""
    band = measure[0].measured.band
    if settles and band and settles.lo <= band.hi and band.lo <= settles.hi:
        # What settles it beyond the band is no news: the feature is known to lie in its band.
        settling = Band(max(settles.lo, band.lo), min(settles.hi, band.hi))
        wish = f"; it goes together at {settling.format(rounding='in')}"
    return f"{_is(title, result, wanted)}, so it may or may not go. Measure {tools}{wish}."


def unknown(title: str, missing: Sequence[Term], wanted: Wanted, room: Fraction | None) -> str:
    """A feature is unknown, so there is no result."""
    names = " and ".join(term.measured.label for term in missing)
    verb = "is" if len(missing) == 1 else "are"
    tools = " and ".join(_measure(term, room) for term in missing)
    return (
        f"{title} cannot be worked out, because {names} {verb} unknown; wanted {wanted.format()}. "
        f"Measure {tools}."
    )


def _is(title: str, result: Band, wanted: Wanted) -> str:
    return f"{title} is {result.format()}, wanted {wanted.format()}"


def _of(job: Job) -> str:
    return f"{job.owner} {job.feature}".strip()


def _measure(term: Term, room: Fraction | None) -> str:
    tool = tool_for(term.role, None if room is None else room / term.factor)
    return f"{term.measured.label} with a {tool}"


def _change(term: Term, needed: Band | None, too_high: bool) -> str | None:
    """What this feature would have to be for the result to be as wanted, if it can be that."""
    band = term.measured.band
    if needed is None or band is None or (needed.hi <= ZERO < band.hi):
        return None
    if max(abs(needed.lo), abs(needed.hi)) <= Length(LARGEST):
        size = needed.format(rounding="in")
    elif too_high == (term.sign > 0):
        size = f"at most {needed.hi.format(rounding='down')}"
    else:
        size = f"at least {needed.lo.format(rounding='up')}"
    return f"{term.measured.label} would have to be {size}"
