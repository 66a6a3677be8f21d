"""A dimension chain on a sheet: the result, what it varies by, the verdict, and the open link."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from kits.fit import Band, Chain, Finding, FitError, Job, Link, Term, Verdict, Wanted, judge, reach, size_for
from kits.fit.length import Rounding
from kits.fit.sampling import Distribution, Spread
from kits.reckoning.chain_file import ChainFile, FileLink, Piece
from kits.reckoning.said import (
    Said,
    say,
    say_band,
    say_length,
    say_percent,
    say_quantity,
    say_sizes,
)
from kits.reckoning.sheet import Fact, Group, Sheet, Table

_QUANTILES: Final = (0.00135, 0.05, 0.5, 0.95, 0.99865)
ASSUMES: Final = (
    "Worst case: every link at its worst end, which decides the verdict.",
    "RSS: independent links, each centred, its band at three standard deviations; about 99.7 % lie inside.",
    "Simulation: no part outside its band is fitted; normal parts are centred, with the ends of the band at "
    "three standard deviations, and uniform ones have every size in it equally often.",
)


@dataclass(frozen=True, slots=True)
class Draws:
    """How a chain is simulated; the same seed gives the same figures."""

    n: int
    seed: int
    distribution: Distribution


@dataclass(frozen=True, slots=True)
class _Fitted:
    """A stocked piece in the open link, and what is found with it."""

    piece: Piece
    finding: Finding


@dataclass(frozen=True)
class _Sum:
    """What is added up: the terms of each link by its name, and in words which they are."""

    about: str
    by_link: dict[str, tuple[Term, ...]]
    complete: bool

    @property
    def terms(self) -> list[Term]:
        return _flat(self.by_link)

    @property
    def chain(self) -> Chain:
        return _chain(self.terms)


def chain_sheet(file: ChainFile, draws: Draws) -> Sheet:
    """The sheet of a chain; with an unknown link it says what to measure, and no figures."""
    opened = file.open_link
    others = {link.name: link.terms() for link in file.links if link is not opened}
    if any(link.band is None for link in file.links if link is not opened):
        return _to_measure(file, others)
    stock = _stock(file, _flat(others))
    whole = _sum(file, others, stock)
    parts: list[Group | Table] = [_links(file, whole), _result(whole, file.wanted, draws)]
    if opened and file.wanted:
        needed = size_for(_flat(others), opened.sign, file.wanted, opened.factor * opened.quantity)
        parts.append(_needed(opened, _flat(others), needed))
        parts += [_stock_table(stock, opened, needed)] if stock else []
    finding = judge("chain", file.title, whole.terms, file.wanted) if file.wanted and whole.complete else None
    return Sheet(file.title, tuple(parts), ASSUMES, finding)


def _to_measure(file: ChainFile, others: dict[str, tuple[Term, ...]]) -> Sheet:
    if file.wanted is None:
        unknown = ", ".join(link.name for link in file.links if link.band is None)
        raise FitError(f"unknown: {unknown}; measure first, or write wanted = '...' to be told how closely")
    terms = _flat(others)
    if file.open_link and file.open_link.band:
        terms += file.open_link.terms()
    return Sheet(
        file.title, (_links(file, None),), ASSUMES[:1], judge("chain", file.title, terms, file.wanted)
    )


def _sum(file: ChainFile, others: dict[str, tuple[Term, ...]], stock: list[_Fitted]) -> _Sum:
    """As given; or with the best stocked piece in the open link; or without the open link."""
    opened = file.open_link
    if opened is None or opened.band:
        return _Sum("as given", {link.name: link.terms() for link in file.links}, True)
    if not stock:
        return _Sum("all but the open one", others, False)
    best = min(stock, key=lambda fitted: fitted.finding.verdict.rank).piece
    fitted = opened.terms(best.size, best.name)
    return _Sum(f"with {best.name} in the open one", {**others, opened.name: fitted}, True)


def _flat(by_link: dict[str, tuple[Term, ...]]) -> list[Term]:
    return [term for terms in by_link.values() for term in terms]


def _chain(terms: list[Term]) -> Chain:
    return Chain(
        Link(term.measured.name, term.sign, term.measured.band, Fraction(term.factor))
        for term in terms
        if term.measured.band is not None
    )


def _links(file: ChainFile, whole: _Sum | None) -> Table:
    """Every link with its size and, where all are known, its shares of what the result varies by."""
    columns = [("way", ""), ("name", "link"), ("quantity", "qty"), ("factor", "times"), ("size", "size")]
    shares: list[dict[str, Fraction]] = []
    if whole:
        columns += [("of_worst_case", "of worst case"), ("of_variance", "of variance")]
        shares = [whole.chain.shares(), whole.chain.variance_shares()]
    rows = []
    for link in file.links:
        names = [term.measured.name for term in whole.by_link.get(link.name, ())] if whole else []
        parts = [say_percent(sum((share[name] for name in names), Fraction(0))) for share in shares]
        rows.append((*_link_cells(link), *parts, say(link.source)))
    return Table("links", "Links", (*columns, ("source", "source")), tuple(rows))


def _link_cells(link: FileLink) -> tuple[Said, ...]:
    band = Said("unknown", None) if link.band is None else say_band(link.band)
    if link.is_open:
        band = Said("open" if link.band is None else f"{band.text}, open", band.plain)
    return (
        Said("+" if link.sign > 0 else "-", "add" if link.sign > 0 else "take"),
        say(link.name),
        Said(str(link.quantity), link.quantity),
        say(str(link.factor)),
        band,
    )


def _result(whole: _Sum, wanted: Wanted | None, draws: Draws) -> Group:
    chain = whole.chain
    spread = chain.monte_carlo(draws.n, draws.seed, draws.distribution)
    how = f"{draws.n:,} assemblies, {draws.distribution}, seed {draws.seed}"
    plain = {"draws": draws.n, "distribution": draws.distribution, "seed": draws.seed}
    facts = [
        Fact("about", "links added up", say(whole.about)),
        Fact("worst_case", "worst case", say_band(chain.worst_case())),
        Fact("rss", "RSS", say_band(chain.rss())),
        Fact("simulated", "simulated", Said(how, plain)),
        Fact("mean", "mean", say_quantity(spread.mean_mm, "mm")),
        Fact("deviation", "standard deviation", say_quantity(spread.deviation_mm, "mm", "up")),
        Fact("seen", "least to greatest seen", say_band(Band(spread.lo, spread.hi))),
    ]
    for share in _QUANTILES:
        rounding: Rounding = "down" if share < 0.5 else "up"
        name = f"{share * 100:.5g} % lie up to"
        facts.append(Fact(f"quantile_{share}", name, say_length(spread.quantile(share), rounding)))
    if whole.complete and wanted:
        facts += _inside(spread, wanted)
    return Group("result", "Result", tuple(facts))


def _inside(spread: Spread, wanted: Wanted) -> list[Fact]:
    found = spread.inside(wanted.at_least, wanted.at_most)
    error = "settled by the worst case" if found.certain else f"+/- {found.error * 100:.2g} % standard error"
    inside = say_percent(found.share, "down", 3)
    plain = {"share": found.share, "inside": found.inside, "error": found.error, "certain": found.certain}
    return [
        Fact("wanted", "wanted", Said(wanted.format(), wanted.as_dict())),
        Fact("share_inside", "share inside", Said(f"{inside.text}, {error}", plain)),
    ]


def _needed(opened: FileLink, others: list[Term], band: Band | None) -> Group:
    if band is None:
        needed = Said("none can be", None)
        note = (
            "the other links vary by more than is wanted, or would need a size below zero; narrow the one "
            "with the largest share, or change what is wanted"
        )
    else:
        each = "" if opened.quantity == 1 else f", each of the {opened.quantity}"
        needed, note = say_sizes(band), f"right for every value of the other links{each}"
    rest = Fact("others", "the other links", say_band(_chain(others).worst_case()), "worst case")
    return Group(
        "open",
        f"The open link: {opened.name}",
        (Fact("name", "open link", say(opened.name)), rest, Fact("needed", "size needed", needed, note)),
    )


def _stock(file: ChainFile, others: list[Term]) -> list[_Fitted]:
    opened, wanted = file.open_link, file.wanted
    if opened is None or wanted is None:
        return []
    return [
        _Fitted(piece, judge("chain", file.title, [*others, *opened.terms(piece.size, piece.name)], wanted))
        for piece in file.stock
    ]


def _stock_table(stock: list[_Fitted], opened: FileLink, needed: Band | None) -> Table:
    ordered = sorted(stock, key=lambda fitted: fitted.finding.verdict.rank)
    rows = tuple(
        (
            say(fitted.piece.name),
            say_band(fitted.piece.size),
            say(fitted.finding.verdict.value),
            _what_to_do(fitted, opened, needed),
        )
        for fitted in ordered
    )
    columns = (("name", "stock"), ("size", "size"), ("verdict", "verdict"), ("to_do", "what it takes"))
    return Table("stock", "What the shelf has for it", columns, rows)


def _what_to_do(fitted: _Fitted, opened: FileLink, needed: Band | None) -> Said:
    """In JSON the job, if shop work makes the piece right."""
    verdict, piece = fitted.finding.verdict, fitted.piece.size
    if verdict is Verdict.GOES_TOGETHER:
        return Said("nothing", None)
    mine = reach(opened.terms(piece, fitted.piece.name)[0], needed) if needed else None
    if job := mine or fitted.finding.job:
        return Said(_job_text(job, opened if mine else None), job.as_dict())
    if needed is None:
        return Said("no size is right for sure", None)
    if piece.lo <= needed.hi and needed.lo <= piece.hi:
        right = Band(max(piece.lo, needed.lo), min(piece.hi, needed.hi))
        return Said(f"measure it: right at {right.format(rounding='in')}", None)
    off, way = (piece.lo - needed.hi, "above") if piece.lo > needed.hi else (needed.lo - piece.hi, "below")
    what = "measure the other links too" if verdict is Verdict.MEASURE_FIRST else "no work listed reaches it"
    return Said(f"{off.format(rounding='up')} {way} the range; {what}", None)


def _job_text(job: Job, opened: FileLink | None) -> str:
    """A work on the piece itself, or on the link that it names."""
    verb = "take off up to {}" if job.work.lowers else "open by up to {}"
    of = f" on {job.feature}" if opened is None else " on each" if opened.quantity > 1 else ""
    minutes = f", {job.work.minutes} minutes" if job.work.minutes else ""
    target = job.target.format(rounding="in")
    amount = verb.format(job.amount.format(rounding="up"))
    return f"{job.work.name}: {amount}{of}, to {target}{minutes}"
