"""Every named constraint of the kits is broken once, and the database says so."""

from collections.abc import Callable
from functools import partial

import pytest
from django.apps import apps
from django.contrib.auth.models import User
from django.db import IntegrityError, transaction
from django.utils import timezone

from kits.models import (
    Candidate,
    CandidatePart,
    CheckTerm,
    CustomKit,
    Engine,
    EngineAttribute,
    EngineFeature,
    Fill,
    FillPart,
    FittingStep,
    OriginalPart,
    OwnFeature,
    PartFeature,
    RuleTerm,
    ShopWork,
    Slot,
    Substitution,
    TemplateRevision,
)
from tests.kits.builders import Conversion, category, kind

pytestmark = pytest.mark.django_db

Breaking = Callable[[Conversion], object]


def fill(c: Conversion) -> Fill:
    by = User.objects.create_user("somebody")
    kit = CustomKit.objects.create(revision=c.revision, engine=c.engine, made_by=by)
    return Fill.objects.create(kit=kit, slot=c.slots["pump"], how="parts")


def fill_part(c: Conversion, *quantities: int) -> None:
    filled = fill(c)
    for quantity in quantities:
        FillPart.objects.create(fill=filled, part=c.parts["CW-7"], quantity=quantity)


def own(c: Conversion, times: int = 1, **fields: object) -> None:
    filled = fill(c)
    for _ in range(times):
        OwnFeature.objects.create(fill=filled, kind=kind("new"), **fields)


def on_engine(c: Conversion, **fields: object) -> None:
    EngineFeature.objects.create(engine=c.engine, kind=kind("new"), **fields)


def on_part(c: Conversion, **fields: object) -> None:
    PartFeature.objects.create(part=c.parts["CG-2"], kind=kind("new"), **fields)


def candidate(c: Conversion, **fields: object) -> Candidate:
    return Candidate.objects.create(slot=c.slots["guard"], **{"rank": 9, **fields})


def substitute(c: Conversion, **fields: object) -> Substitution:
    usual = {"slot": c.slots["bolt"], "standard": c.parts["CB-30"], "stand_in": c.parts["CB-35"]}
    return Substitution.objects.create(**{**usual, **fields})


def work(**fields: object) -> ShopWork:
    usual = {
        "code": "bore", "name": "Bore", "category": category("pulley"), "feature": kind("bore"),
        "lowers": False,
        "most": 10, "keeps": 1, "price": 1, "minutes": 1, "done_by": "own bench",
    }  # fmt: skip
    return ShopWork.objects.create(**{**usual, **fields})


def check_term(c: Conversion, **fields: object) -> CheckTerm:
    usual = {"of": c.revision.checks.get(code="nose-fit"), "sequence": 9, **c.term(1, None, "plane")}
    return CheckTerm.objects.create(**{**usual, **fields})


BAND = {"lo": 1, "hi": 2, "source": "drawing"}
UPSIDE_DOWN = {"lo": 2, "hi": 1, "source": "drawing"}
HALF = {"lo": 1, "hi": None, "source": "drawing"}
NO_VALUE = {"source": "drawing"}


def twice(breaking: Breaking) -> Breaking:
    def both(c: Conversion) -> None:
        breaking(c)
        breaking(c)

    return both


def two_releases(c: Conversion) -> None:
    for number in (2, 3):
        TemplateRevision.objects.create(
            template=c.template, number=number, state="released", released_at=timezone.now()
        )


BREAKS: dict[str, Breaking] = {
    "check_code_once_per_revision": lambda c: c.check("thread", "0", "1"),
    "check_wants_something": lambda c: c.check("new", None, None),
    "check_limits_in_order": lambda c: c.check("new", "2", "1"),
    "only_a_chain_has_an_open_link": lambda c: c.check(
        "new", "0", "1", kind="pair", open_slot=c.slots["pump"]
    ),
    "check_terms_have_an_order": lambda c: check_term(c, sequence=1),
    "check_term_adds_or_takes": lambda c: check_term(c, sign=2),
    "check_term_factor_positive": lambda c: check_term(c, over=0),
    "a_pair_is_bore_minus_shaft": lambda c: check_term(c, role="shaft"),
    "one_bore_and_one_shaft": lambda c: check_term(c, role="bore"),
    "work_takes_something": lambda c: work(most=0),
    "work_price_not_negative": lambda c: work(price=-1),
    "one_work_per_category_feature_and_direction": lambda c: work(feature=kind("hub"), lowers=True),
    "one_fill_per_slot": lambda c: Fill.objects.create(kit=fill(c).kit, slot=c.slots["pump"], how="own"),
    "part_once_per_fill": lambda c: fill_part(c, 1, 1),
    "fill_part_uses_something": lambda c: fill_part(c, 0),
    "own_feature_once_per_fill": lambda c: own(c, 2, **BAND),
    "engine_years_in_order": lambda c: Engine.objects.create(
        family=c.engine.family, code="OM-0", name="x", built_from=1990, built_to=1980
    ),
    "attribute_once_per_engine": lambda c: EngineAttribute.objects.create(engine=c.engine, name="housing"),
    "feature_once_per_engine": twice(lambda c: on_engine(c, **BAND)),
    "one_original_part_per_function": twice(
        lambda c: OriginalPart.objects.create(engine=c.engine, part=c.parts["CW-7"], function="pump")
    ),
    "feature_once_per_part": twice(lambda c: on_part(c, **BAND)),
    "rule_code_once_per_revision": twice(lambda c: c.rule("new", "note")),
    "only_never_offers_something_instead": lambda c: c.rule("new", "note", instead=c.template),
    "slot_term_asks_what_a_slot_has": lambda c: RuleTerm.objects.create(
        rule=c.rule("new", "note"), slot=c.slots["pump"], name="colour"
    ),
    "slot_code_once_per_revision": lambda c: Slot.objects.create(
        revision=c.revision, code="pump", name="x", position=99
    ),
    "slots_have_an_order": lambda c: Slot.objects.create(
        revision=c.revision, code="new", name="x", position=1
    ),
    "slot_takes_something": lambda c: c.slot("new", quantity=0),
    "never_reuse_is_never_allowed": lambda c: c.slot("new", never_reuse="worn", reuse_allowed=True),
    "candidates_have_an_order": lambda c: candidate(c, rank=1),
    "one_default_per_slot": lambda c: candidate(c, is_default=True),
    "a_selection_has_a_category_and_is_no_default": lambda c: candidate(c, feature=kind("hub"), lo=1, hi=2),
    "a_selection_by_feature_has_a_band": lambda c: candidate(c, category=category("pump"), lo=1, hi=2),
    "part_once_per_candidate": lambda c: CandidatePart.objects.create(
        candidate=c.slots["guard"].candidates.get(), part=c.parts["CG-2"]
    ),
    "candidate_part_uses_something": lambda c: CandidatePart.objects.create(
        candidate=candidate(c), part=c.parts["CG-2"], quantity=0
    ),
    "substitution_stated_once": twice(substitute),
    "substitution_not_by_itself": lambda c: substitute(c, stand_in=c.parts["CB-30"]),
    "substitution_ratio_positive": lambda c: substitute(c, takes=0),
    "revision_number_once_per_template": lambda c: TemplateRevision.objects.create(
        template=c.template, number=1
    ),
    "one_released_revision_per_template": two_releases,
    "released_revision_has_a_time": lambda c: TemplateRevision.objects.create(
        template=c.template, number=2, state="released"
    ),
    "steps_have_an_order": lambda c: FittingStep.objects.create(revision=c.revision, sequence=1, text="x"),
    "torque_has_a_source": lambda c: FittingStep.objects.create(
        revision=c.revision, sequence=9, text="x", torque_nm=25
    ),
}
_PUTS: tuple[tuple[str, Callable[..., None]], ...] = (
    ("partfeature", on_part),
    ("enginefeature", on_engine),
    ("ownfeature", own),
)
for _name, _put in _PUTS:
    BREAKS |= {
        f"{_name}_band_in_order": partial(_put, **UPSIDE_DOWN),
        f"{_name}_band_whole_or_absent": partial(_put, **HALF),
        f"{_name}_known_has_a_value": partial(_put, **NO_VALUE),
    }


@pytest.mark.parametrize("name", sorted(BREAKS))
def test_the_database_refuses(draft: Conversion, name: str) -> None:
    with pytest.raises(IntegrityError, match=f'"{name}"'), transaction.atomic():
        BREAKS[name](draft)


def test_every_named_constraint_is_broken_here() -> None:
    named = {c.name for model in apps.get_app_config("kits").get_models() for c in model._meta.constraints}
    assert named == set(BREAKS)
