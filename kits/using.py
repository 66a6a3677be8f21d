"""Which kits a part goes into: the released templates that offer it in a slot."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable

from django.db.models import Q

from inventory.models import Part
from kits.models import Candidate, CandidatePart, KitTemplate, PartFeature, TemplateRevision

RELEASED = TemplateRevision.State.RELEASED


def kits_with(part_ids: Collection[int]) -> dict[int, set[KitTemplate]]:
    """By part the templates whose released revision lists it, or selects it by its category and feature.

    Four queries for any number of parts.
    """
    found: dict[int, set[KitTemplate]] = defaultdict(set)
    templates = KitTemplate.objects.filter(revisions__state=RELEASED).in_bulk()
    listed = CandidatePart.objects.filter(part__in=part_ids, candidate__slot__revision__state=RELEASED)
    for part_id, template in listed.order_by().values_list("part", "candidate__slot__revision__template"):
        found[part_id].add(templates[template])
    for part_id, template in _selected(part_ids):
        found[part_id].add(templates[template])
    return dict(found)


def _selected(part_ids: Collection[int]) -> Iterable[tuple[int, int]]:
    """Part and template, where a slot takes any of a category whose feature lies in a band, or is unknown."""
    categories: dict[int, list[int]] = defaultdict(list)
    for part_id, category in Part.objects.filter(pk__in=part_ids).order_by().values_list("pk", "category"):
        categories[category].append(part_id)
    candidates = Candidate.objects.filter(category__in=list(categories), slot__revision__state=RELEASED)
    rows = list(
        candidates.order_by().values_list("category", "feature", "lo", "hi", "slot__revision__template")
    )
    kinds = {feature for _, feature, *_ in rows if feature is not None}
    bands: dict[tuple[int, int], tuple[int, int]] = {}
    if kinds:
        known = PartFeature.objects.filter(Q(lo__isnull=False), part__in=part_ids, kind__in=kinds)
        for part_id, kind, lo, hi in known.order_by().values_list("part", "kind", "lo", "hi"):
            if lo is not None and hi is not None:
                bands[part_id, kind] = lo, hi
    for category, feature, least, most, template in rows:
        for part_id in categories[category or 0]:
            band = bands.get((part_id, feature or 0))
            if band is None or least is None or most is None or (least <= band[0] and band[1] <= most):
                yield part_id, template
