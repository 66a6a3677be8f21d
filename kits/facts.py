"""What is kept is kept by its facts: a digest of everything that it was made from.

The digest is the same in every process, so that what one of them made serves the others.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from typing import Any

from kits.conversion import Conversion, RuleRead, RuleTermRead, Value


def digest(facts: Iterable[Any]) -> str:
    """Of plain values that print the same everywhere: no sets, whose order differs between processes."""
    made = hashlib.sha256()
    for fact in facts:
        made.update(repr(fact).encode())
    return made.hexdigest()


def features_used(conversion: Conversion) -> set[int]:
    """The kinds of feature that some check asks for."""
    terms = [term for check in conversion.checks for term in check.terms]
    return {t.feature_id for t in terms} | {t.reused_id for t in terms if t.reused_id is not None}


def attributes_said(conversion: Conversion) -> list[tuple[str, str | None]]:
    """What the engine answers to everything that some rule asks of it; None is not recorded."""
    terms = [term for rule in conversion.rules for term in (*rule.when, *rule.then)]
    asked = sorted({term.name for term in terms if term.slot_id is None})
    return [(name, conversion.attributes.get(name)) for name in asked]


def values_said(values: Mapping[int, Value], used: set[int]) -> list[tuple[Any, ...]]:
    """What is known of the features that checks use, and who says so."""
    return [(feature, *value_said(value)) for feature, value in sorted(values.items()) if feature in used]


def value_said(value: Value) -> tuple[Any, ...]:
    """Its ends, its text, and whether it is known at all."""
    text = value.value if isinstance(value.value, str) else None
    return value.lo, value.hi, text, value.value is None, value.source


def works_said(conversion: Conversion, used: set[int]) -> list[Any]:
    """The shop works on features that checks use."""
    return sorted((key, works) for key, works in conversion.works.items() if key[1] in used)


def rule_said(rule: RuleRead) -> tuple[Any, ...]:
    """Everything of a rule, its values in order."""
    return (
        rule.code,
        rule.kind,
        rule.text,
        rule.instead,
        *(list(map(_term, ts)) for ts in (rule.when, rule.then)),
    )


def _term(term: RuleTermRead) -> tuple[Any, ...]:
    return term.slot_id, term.name, term.unless, sorted(term.values)
