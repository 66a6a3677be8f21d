"""Reads a template revision on an engine, and what fills a kit, in a fixed small number of queries.

How many queries does not depend on how many slots, candidates or parts there are. Of all that is read only
a released template is kept, which never changes: a price or a dimension that the catalogue desk corrects
counts from the next look.
"""

from __future__ import annotations

from collections import OrderedDict, defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache

from django.db.models import Q

from inventory.models import Part
from kits.conversion import (
    CandidateRead,
    CheckRead,
    Conversion,
    Filling,
    Fills,
    PartRead,
    RuleRead,
    RuleTermRead,
    SlotRead,
    SubstitutionRead,
    TermRead,
    Value,
    Valued,
)
from kits.fit import Amount, Band, Length, Wanted, Work
from kits.models import (
    Candidate,
    CandidatePart,
    Check,
    CheckTerm,
    CustomKit,
    Engine,
    EngineAttribute,
    EngineFeature,
    Feature,
    FeatureKind,
    Fill,
    FillPart,
    OwnFeature,
    PartFeature,
    Rule,
    RuleTerm,
    ShopWork,
    Slot,
    Substitution,
    TemplateRevision,
)
from kits.models.features import RATING_STEPS

_SOURCES: dict[str, str] = {str(value): str(label) for value, label in Feature.Source.choices}
CUSTOMERS_FIGURE = "given by the customer"


def read_kit(kit: CustomKit) -> tuple[Conversion, Fills]:
    """A kit's conversion and what fills its slots now."""
    fills = read_fills(kit)
    extra = {part_id for filling in fills.values() for part_id, _ in filling.parts}
    return read_conversion(kit.revision, kit.engine, extra), fills


def read_fills(kit: CustomKit) -> dict[int, Filling]:
    """By slot id."""
    parts: dict[int, list[tuple[int, int]]] = defaultdict(list)
    rows = FillPart.objects.filter(fill__kit=kit).order_by()
    for fill, part, quantity in rows.values_list("fill_id", "part_id", "quantity"):
        parts[fill].append((part, quantity))
    own: dict[int, list[tuple[int, Value]]] = defaultdict(list)
    features = OwnFeature.objects.filter(fill__kit=kit).order_by("id")
    for fill, kind, *stored in features.values_list("fill_id", "kind_id", *_STORED):
        own[fill].append((kind, _valued(*stored, said=CUSTOMERS_FIGURE)))
    fills = Fill.objects.filter(kit=kit).order_by().values_list("pk", "slot_id", "how")
    return {slot: Filling(how, tuple(sorted(parts[pk])), tuple(own[pk])) for pk, slot, how in fills}


def read_conversion(
    revision: TemplateRevision, engine: Engine, extra_parts: Iterable[int] = ()
) -> Conversion:
    """The revision on the engine, with every part that may fill a slot, and `extra_parts`."""
    slots, checks, rules = _read_template(revision, engine)
    wanted = {part_id for slot in slots for c in slot.candidates for part_id, _ in c.parts}
    wanted |= {s.stand_in for slot in slots for s in slot.substitutions}
    wanted |= {s.standard for slot in slots for s in slot.substitutions}
    selected = {c.category_id for slot in slots for c in slot.candidates if c.category_id is not None}
    features = EngineFeature.objects.filter(engine=engine).order_by().values_list("kind_id", *_STORED)
    return Conversion(
        revision_id=revision.pk,
        template=revision.template.name,
        engine_id=engine.pk,
        engine=f"engine {engine.code}",
        attributes=dict(EngineAttribute.objects.filter(engine=engine).values_list("name", "value")),
        engine_values={kind: _valued(*stored) for kind, *stored in features},
        slots=slots,
        parts=_read_parts(wanted | set(extra_parts), selected),
        checks=checks,
        rules=rules,
        works=_read_works(),
    )


_Template = tuple[tuple[SlotRead, ...], tuple[CheckRead, ...], tuple[RuleRead, ...]]
_MOST_KEPT = 256
_templates: OrderedDict[tuple[int, datetime, int], _Template] = OrderedDict()


def _read_template(revision: TemplateRevision, engine: Engine) -> _Template:
    """What the template says. Once released it never changes again, so it is read once."""
    if revision.released_at is None:
        return _read_slots(revision, engine), _read_checks(revision), _read_rules(revision)
    key = revision.pk, revision.released_at, engine.pk
    template = _templates.get(key)
    if template is None:
        template = _read_slots(revision, engine), _read_checks(revision), _read_rules(revision)
        _templates[key] = template
        while len(_templates) > _MOST_KEPT:
            _templates.popitem(last=False)
    return template


# The columns of a feature as `_valued` takes them.
_STORED = ("kind__name", "kind__quantity", "kind__unit", "lo", "hi", "text", "source")


@lru_cache(8192)
def _valued(
    name: str,
    quantity: str,
    unit: str,
    lo: int | None,
    hi: int | None,
    text: str,
    source: str,
    said: str = "",
) -> Value:
    """A length as a band, a count or rating as an amount, a designation as text; None where unknown.

    The same figures give the same value, made once: hundreds are read with every look, and few are new.
    """
    value: Valued = None
    if source == Feature.Source.UNKNOWN:
        pass
    elif quantity == FeatureKind.Quantity.TEXT:
        value = text or None
    elif lo is not None and hi is not None:
        if quantity == FeatureKind.Quantity.LENGTH:
            value = Band(Length(lo), Length(hi))
        else:
            per_unit = RATING_STEPS if quantity == FeatureKind.Quantity.RATING else 1
            value = Amount(Decimal(lo) / per_unit, Decimal(hi) / per_unit, unit)
    return Value(name, lo, hi, value, said or _SOURCES[source])


def _read_slots(revision: TemplateRevision, engine: Engine) -> tuple[SlotRead, ...]:
    candidates = _read_candidates(revision)
    substitutions: dict[int, list[SubstitutionRead]] = defaultdict(list)
    on_this_engine = Q(engines__isnull=True) | Q(engines=engine)
    for one in Substitution.objects.filter(on_this_engine, slot__revision=revision).distinct().order_by("id"):
        substitutions[one.slot_id].append(
            SubstitutionRead(
                one.standard_id,
                one.stand_in_id,
                one.replaces,
                one.takes,
                one.agreement,
                one.pricing,
                one.note,
            )
        )
    return tuple(
        SlotRead(
            slot.pk, slot.code, slot.name, slot.required, slot.quantity, slot.own_allowed, slot.reuse_allowed,
            slot.never_reuse, tuple(candidates[slot.pk]), tuple(substitutions[slot.pk]),
        )
        for slot in Slot.objects.filter(revision=revision).order_by("position")
    )  # fmt: skip


def _read_candidates(revision: TemplateRevision) -> Mapping[int, list[CandidateRead]]:
    parts: dict[int, list[tuple[int, int]]] = defaultdict(list)
    for row in CandidatePart.objects.filter(candidate__slot__revision=revision).order_by("id"):
        parts[row.candidate_id].append((row.part_id, row.quantity))
    candidates: dict[int, list[CandidateRead]] = defaultdict(list)
    for one in Candidate.objects.filter(slot__revision=revision).order_by("rank"):
        candidates[one.slot_id].append(
            CandidateRead(
                one.label,
                one.is_default,
                one.category_id,
                one.feature_id,
                one.lo,
                one.hi,
                tuple(parts[one.pk]),
            )
        )
    return candidates


def _read_parts(part_ids: set[int], category_ids: set[int]) -> dict[int, PartRead]:
    """By id; plain rows, since there are hundreds of them."""
    values: dict[int, dict[int, Value]] = defaultdict(dict)
    of_these = PartFeature.objects.filter(Q(part__in=part_ids) | Q(part__category__in=category_ids))
    for part_id, kind_id, *stored in of_these.order_by().values_list("part_id", "kind_id", *_STORED):
        values[part_id][kind_id] = _valued(*stored)
    rows = Part.objects.filter(Q(pk__in=part_ids) | Q(category__in=category_ids)).order_by()
    return {
        pk: PartRead(
            pk, number, key, name, maker, maker_code, category_id, category, price,
            standing == Part.Standing.ENDED, on_hand or 0,
            f"{successor_maker} {successor}" if successor else "", bool(drop_in), values[pk],
        )
        for pk, number, key, name, maker, maker_code, category_id, category, price, standing, on_hand,
        successor_maker, successor, drop_in in rows.values_list(
            "id", "number", "key", "name", "maker__name", "maker__code", "category_id", "category__code",
            "price", "standing", "stock__on_hand", "superseded_by__new__maker__name",
            "superseded_by__new__number", "superseded_by__drop_in",
        )
    }  # fmt: skip


def _read_checks(revision: TemplateRevision) -> tuple[CheckRead, ...]:
    kinds = dict(FeatureKind.objects.order_by().values_list("id", "name"))
    terms: dict[int, list[TermRead]] = defaultdict(list)
    for term in CheckTerm.objects.filter(of__revision=revision).order_by("sequence"):
        terms[term.of_id].append(
            TermRead(
                term.slot_id, term.feature_id, kinds[term.feature_id], term.reused_id,
                "" if term.reused_id is None else kinds[term.reused_id], term.sign,
                Fraction(term.times, term.over), term.role,
            )
        )  # fmt: skip
    return tuple(
        CheckRead(
            check.pk, check.code, check.kind, check.name, _wanted(check), _settings(check),
            check.open_slot_id, check.caution, tuple(terms[check.pk]),
        )
        for check in Check.objects.filter(revision=revision).order_by("code")
    )  # fmt: skip


def _wanted(check: Check) -> Wanted | None:
    least, most = (None if end is None else Length(end) for end in (check.at_least, check.at_most))
    return None if least is None and most is None else Wanted(least, most)


def _settings(check: Check) -> tuple[tuple[str, str], ...]:
    """In a fixed order, so that equal settings are equal values."""
    return tuple(sorted((str(code), str(text)) for code, text in check.settings.items()))


def _read_rules(revision: TemplateRevision) -> tuple[RuleRead, ...]:
    terms: dict[tuple[int, str], list[RuleTermRead]] = defaultdict(list)
    for term in RuleTerm.objects.filter(rule__revision=revision).order_by("id"):
        read = RuleTermRead(term.slot_id, term.name, term.unless, frozenset(map(str, term.values)))
        terms[term.rule_id, term.side].append(read)
    when, then = RuleTerm.Side.WHEN, RuleTerm.Side.THEN
    return tuple(
        RuleRead(
            rule.code, rule.kind, rule.text, (rule.instead.code, rule.instead.name) if rule.instead else None,
            tuple(terms[rule.pk, when]), tuple(terms[rule.pk, then]),
        )
        for rule in Rule.objects.filter(revision=revision).select_related("instead").order_by("code")
    )  # fmt: skip


def _read_works() -> dict[tuple[int, int], tuple[Work, ...]]:
    """By category and feature. All of them: a shop has a few dozen, and one query is one query."""
    works: dict[tuple[int, int], list[Work]] = defaultdict(list)
    for work in ShopWork.objects.order_by("code"):
        works[work.category_id, work.feature_id].append(
            Work(
                work.code, work.name, work.lowers, Length(work.most), Length(work.keeps), work.price,
                work.minutes, work.done_by,
            )
        )  # fmt: skip
    return {key: tuple(found) for key, found in works.items()}
