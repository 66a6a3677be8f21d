"""Checks as the fit package sees them: kinds of check, what each asks for, and one check asked.

A kind is one small file in `kits/fit/kinds`; this module holds what all kinds share.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from kits.fit.errors import FitError, expect, expect_call, expect_fields, expect_items
from kits.fit.findings import Finding
from kits.fit.terms import Term, Wanted

Quantity = Literal["length", "count", "rating", "text"]
_QUANTITIES = {"length": "a length", "count": "a count", "rating": "a rating", "text": "a designation"}


@dataclass(frozen=True)
class Role:
    """What a term is to its check: of which quantity, and at least and at most how many there are.

    `sign` is +1 or -1 where the role fixes it, and 0 where the catalogue desk chooses. `how` says
    with what a value that is not a length is found out; lengths are measured by `tool`.
    """

    code: str
    name: str
    quantity: Quantity = "length"
    least: int = 1
    most: int | None = 1
    sign: int = 1
    tool: str = "outside"
    how: str = ""
    unit: str = ""

    def __post_init__(self) -> None:
        expect_fields(self, code=str, name=str, quantity=str, least=int, most=(int, type(None)), sign=int)
        expect_fields(self, tool=str, how=str, unit=str)
        if self.quantity not in _QUANTITIES or self.sign not in (-1, 0, 1):
            raise FitError(f"a role is one of {', '.join(_QUANTITIES)}, and its sign one of -1, 0 and +1")


@dataclass(frozen=True)
class Setting:
    """A figure that a check of this kind can be given, as text; `read` raises FitError for nonsense.

    Without a `default` it must be given, unless it is `optional`: then it is None when it is not.
    """

    code: str
    name: str
    read: Callable[[str], Any]
    default: str | None = None
    optional: bool = False

    def __post_init__(self) -> None:
        expect_fields(self, code=str, name=str, default=(str, type(None)), optional=bool)
        expect_call(self.read, "how a setting is read")


@dataclass(frozen=True)
class Kind:
    """A kind of check. `judge` answers one question with one finding or more.

    Which findings it gives depends on which roles are filled, never on the values in them. `limits`
    says whether the check itself carries the limits (at least, at most) of a length; `fixed_limits`
    that a finding on lengths is the sum of terms as they are, and that its limits depend on no length:
    then many fillings can be judged at once. What is wrong by a `grave` kind hurts people, and is told
    before anything else that is as wrong.
    """

    code: str
    name: str
    about: str
    roles: tuple[Role, ...]
    judge: Callable[[Question], Iterable[Finding]]
    settings: tuple[Setting, ...] = ()
    limits: bool = False
    fixed_limits: bool = False
    grave: bool = False

    def __post_init__(self) -> None:
        expect_fields(self, code=str, name=str, about=str, limits=bool, fixed_limits=bool, grave=bool)
        expect_call(self.judge, "how a kind judges")
        expect_items(self.roles, Role, "the roles of a kind")
        expect_items(self.settings, Setting, "the settings of a kind")

    def role(self, code: str) -> Role:
        """The role of that code."""
        for role in self.roles:
            if role.code == code:
                return role
        known = ", ".join(role.code for role in self.roles)
        raise FitError(f"a check of the kind {self.code!r} has no role {code!r}; it has {known}")

    def read_settings(self, given: Mapping[str, str]) -> dict[str, Any]:
        """Every setting's value; FitError names the setting that is unknown, missing or nonsense."""
        known = {setting.code for setting in self.settings}
        if unknown := sorted(set(given) - known):
            listed = ", ".join(sorted(known)) or "none"
            raise FitError(f"{self.name} has no setting {', '.join(unknown)}; it has: {listed}")
        return {setting.code: _read_setting(setting, given.get(setting.code)) for setting in self.settings}


def _read_setting(setting: Setting, given: str | None) -> Any:
    text = setting.default if given in (None, "") else given
    if text is None:
        if setting.optional:
            return None
        raise FitError(f"give the {setting.name} ({setting.code})")
    try:
        return setting.read(text)
    except FitError as error:
        raise FitError(f"{setting.name}: {error}") from error


@dataclass(frozen=True)
class Question:
    """One check of one kit: its terms as the parts give them, what is wanted, and its settings.

    Settings are (code, text) pairs, so that a question is told apart by value.
    """

    kind: Kind = field(repr=False)
    code: str
    title: str
    terms: tuple[Term, ...]
    wanted: Wanted | None = None
    settings: tuple[tuple[str, str], ...] = ()

    def __post_init__(self) -> None:
        expect_fields(self, kind=Kind, code=str, title=str, wanted=(Wanted, type(None)), settings=tuple)
        expect_items(self.terms, Term, "the terms of a check")
        for setting in self.settings:
            expect_items(setting, str, "a setting's code and text")

    def of(self, role: str) -> tuple[Term, ...]:
        """The terms in a role, in their order."""
        return tuple(term for term in self.terms if term.role == role)

    def one(self, role: str) -> Term:
        """The only term in a role that has one."""
        found = self.of(role)
        if len(found) != 1:
            raise FitError(f"{self.title} needs one {self.kind.role(role).name}, and has {len(found)}")
        return found[0]

    def maybe(self, role: str) -> Term | None:
        """The term in a role, or None where the check has none."""
        return self.one(role) if self.of(role) else None

    def chain(self, *roles: str) -> tuple[Term, ...]:
        """The terms in these roles, each saying by its role's tool how it is measured."""
        tools = {code: self.kind.role(code).tool for code in roles}
        return tuple(replace(term, role=tools[term.role]) for term in self.terms if term.role in tools)

    def part(self, name: str) -> str:
        """The code of one finding among several: 'nose-bolt.thread'."""
        return f"{self.code}.{name}" if name else self.code

    @property
    def limits(self) -> Wanted:
        """What the check itself wants of its length."""
        if self.wanted is None:
            raise FitError(f"{self.title} has no limits; say what is wanted at least, at most, or both")
        return self.wanted

    @property
    def given(self) -> dict[str, Any]:
        """The settings as values."""
        return self.kind.read_settings(dict(self.settings))

    @property
    def applies(self) -> bool:
        """Whether every role has what it needs: a slot that is left out gives no term."""
        return bool(self.terms) and all(len(self.of(r.code)) >= r.least for r in self.kind.roles)


def ask(question: Question) -> tuple[Finding, ...]:
    """The findings of a check; none where it does not apply because what it compares is left out.

    A bad setting or a term in a role that the kind does not have is a FitError.
    """
    expect(question, Question, "what is asked")
    for term in question.terms:
        question.kind.role(term.role)
    if not question.applies:
        return ()
    return tuple(replace(finding, question=question) for finding in question.kind.judge(question))


@dataclass(frozen=True)
class Declared:
    """A term as the catalogue desk declares it, before any part gives it a value."""

    role: str
    sign: int
    quantity: str
    unit: str
    feature: str

    def __post_init__(self) -> None:
        expect_fields(self, role=str, sign=int, quantity=str, unit=str, feature=str)


def problems(
    kind: Kind, title: str, terms: Iterable[Declared], settings: Mapping[str, str], has_limits: bool
) -> list[str]:
    """What is wrong with a check as it is declared, each a sentence; empty when nothing is."""
    expect(kind, Kind, "a kind of check")
    expect(title, str, "a check's title")
    expect(has_limits, bool, "whether a check has limits")
    expect(settings, Mapping, "the settings of a check")
    expect_items((*settings, *settings.values()), str, "the settings of a check")
    terms, found = tuple(terms), []
    expect_items(terms, Declared, "the terms of a check")
    known = {role.code: role for role in kind.roles}
    for term in terms:
        role = known.get(term.role)
        if role is None:
            listed = ", ".join(known)
            found.append(f"{title} is of the kind {kind.name} and has no role {term.role!r}; use {listed}.")
        else:
            found += _of_term(title, role, term)
    for role in kind.roles:
        found += _of_count(title, role, sum(term.role == role.code for term in terms))
    if len(units := sorted({term.unit for term in terms if term.quantity == "rating"})) > 1:
        found.append(f"{title} compares ratings in {' and '.join(units)}; use features in one unit.")
    if kind.limits != has_limits:
        found.append(
            f"{title} has no limits; say what is wanted at least, at most, or both."
            if kind.limits
            else f"{title} has limits, which a check of the kind {kind.name} works out itself; remove them."
        )
    try:
        kind.read_settings(settings)
    except FitError as error:
        found.append(f"{title}: {error}.")
    return found


def _of_term(title: str, role: Role, term: Declared) -> list[str]:
    found = []
    if term.quantity != role.quantity:
        is_now, needed = _QUANTITIES.get(term.quantity, term.quantity), _QUANTITIES[role.quantity]
        found.append(f"{title} asks for {term.feature} as its {role.name}, which is {is_now}, not {needed}.")
    elif role.unit and term.unit != role.unit:
        is_in = f"in {term.unit}" if term.unit else "without a unit"
        found.append(f"{title} asks for {term.feature} as its {role.name}, {is_in}, not in {role.unit}.")
    if role.sign and term.sign != role.sign:
        way = "adds to" if role.sign > 0 else "takes from"
        found.append(f"{title}: the {role.name} ({term.feature}) always {way} the result; turn its sign.")
    return found


def _of_count(title: str, role: Role, count: int) -> list[str]:
    if count < role.least:
        return [f"{title} has no {role.name}; say which feature that is."]
    if role.most is not None and count > role.most:
        return [f"{title} has {count} terms that are its {role.name}; it takes {role.most}."]
    return []
