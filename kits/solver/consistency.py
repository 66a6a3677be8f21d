"""Rows that cannot be part of any answer leave early: what stays is smaller and joins faster."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from kits.solver.relations import Mask, Relation, semijoin, shared

Domains = list[Mask]


def full_domains(sizes: Sequence[int]) -> Domains:
    """Every value of every variable."""
    return [np.ones(size, np.bool_) for size in sizes]


def narrow(relations: list[Relation], domains: Domains, trace: list[int] | None = None) -> bool:
    """Generalised arc consistency, in place: no value without a row, no row without its values.

    False as soon as some variable has no value left. `trace` gets the place of every relation that took
    a value away: those alone take the same values away again.
    """
    touching: dict[int, list[int]] = {}
    for place, relation in enumerate(relations):
        for variable in relation.scope:
            touching.setdefault(variable, []).append(place)
    waiting = dict.fromkeys(range(len(relations)))
    while waiting:
        place = next(iter(waiting))
        del waiting[place]
        relation = relations[place] = _within(relations[place], domains)
        for column, variable in enumerate(relation.scope):
            supported = np.zeros(len(domains[variable]), np.bool_)
            supported[relation.rows[:, column]] = True
            if (domains[variable] & ~supported).any():
                domains[variable] &= supported
                if trace is not None:
                    trace.append(place)
                if not domains[variable].any():
                    return False
                waiting.update(dict.fromkeys(touching[variable]))
    return all(len(relation) for relation in relations)


def absorbed(relations: Sequence[Relation], sizes: Sequence[int]) -> list[Relation]:
    """Without relations whose scope lies in another's: they filter that one, and are then said in it."""
    kept: list[Relation] = []
    for relation in sorted(relations, key=lambda r: (-len(r.scope), len(r))):
        host = next((i for i, r in enumerate(kept) if set(relation.scope) <= set(r.scope)), None)
        if host is None:
            kept.append(relation)
        else:
            kept[host] = semijoin(kept[host], relation, sizes)
    return kept


def pairwise(relations: list[Relation], sizes: Sequence[int]) -> None:
    """Semi-joins, in place and to the end, of relations that share two variables or more."""
    partners = {
        i: [j for j, other in enumerate(relations) if j != i and len(shared(relation, other)) > 1]
        for i, relation in enumerate(relations)
    }
    waiting = dict.fromkeys(i for i, others in partners.items() if others)
    while waiting:
        place = next(iter(waiting))
        del waiting[place]
        for other in partners[place]:
            smaller = semijoin(relations[other], relations[place], sizes)
            if len(smaller) < len(relations[other]):
                relations[other] = smaller
                waiting[other] = None


def _within(relation: Relation, domains: Domains) -> Relation:
    mask = np.ones(len(relation), np.bool_)
    for column, variable in enumerate(relation.scope):
        if not domains[variable].all():
            mask &= domains[variable][relation.rows[:, column]]
    return relation if mask.all() else Relation(relation.scope, relation.rows[mask])
