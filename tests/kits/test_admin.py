"""The catalogue desk's pages."""

import pytest
from django.contrib.messages import get_messages
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from inventory.models import Part
from kits.admin import READ_ONLY
from kits.forms import CandidateForm, CheckForm, FeatureForm, LengthField
from kits.models import Check, EngineFeature, PartFeature, TemplateRevision
from tests.clerks import Clerk
from tests.kits.builders import Conversion, kind, mm

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client: Client, clerk: Clerk) -> Client:
    keeper = clerk("catalogue")
    keeper.is_staff = True
    keeper.save()
    client.force_login(keeper)
    return client


def page(name: str, thing: object) -> str:
    return reverse(f"admin:{name}_change", args=[thing.pk])  # type: ignore[attr-defined]  # a model


PAGES = {
    "kits_templaterevision": lambda c: c.revision,
    "kits_slot": lambda c: c.slots["spacer"],
    "kits_candidate": lambda c: c.slots["spacer"].candidates.first(),
    "kits_check": lambda c: c.revision.checks.get(code="belt-plane"),
    "kits_rule": lambda c: c.revision.rules.get(),
    "kits_engine": lambda c: c.engine,
    "inventory_part": lambda c: c.parts["CP-104"],
}


@pytest.mark.parametrize("name", sorted(PAGES))
@pytest.mark.parametrize("released", [False, True])
def test_every_page_opens_and_says_why_it_cannot_be_changed(
    desk: Client, draft: Conversion, name: str, released: bool
) -> None:
    draft.rule("note", "note", {"name": "housing", "values": ["steel"]})
    if released:
        draft.released()
    shown = desk.get(page(name, PAGES[name](draft)))
    assert shown.status_code == 200
    of_the_revision = name not in ("kits_engine", "inventory_part")
    assert (READ_ONLY in shown.content.decode()) == (released and of_the_revision)
    assert ('name="_save"' in shown.content.decode()) != (released and of_the_revision)


@pytest.mark.parametrize(
    "path", ["templaterevision", "slot", "candidate", "check", "rule", "engine", "shopwork"]
)
def test_every_list_and_every_empty_form_opens(desk: Client, draft: Conversion, path: str) -> None:
    assert desk.get(reverse(f"admin:kits_{path}_changelist")).status_code == 200
    assert desk.get(reverse(f"admin:kits_{path}_add")).status_code == 200


@pytest.mark.parametrize("path", ["part", "maker", "category", "supplier", "place"])
def test_what_the_store_room_is_made_of_is_kept_here_too(desk: Client, path: str) -> None:
    shown = desk.get(reverse(f"admin:inventory_{path}_changelist"))
    assert "the catalogue desk" in shown.content.decode()
    assert desk.get(reverse(f"admin:inventory_{path}_add")).status_code == 200


def run(desk: Client, action: str, revision: TemplateRevision) -> list[str]:
    answer = desk.post(
        reverse("admin:kits_templaterevision_changelist"),
        {"action": action, "_selected_action": [revision.pk]},
    )
    return [str(message) for message in get_messages(answer.wsgi_request)]


def test_the_release_action_releases_or_names_every_problem(desk: Client, draft: Conversion) -> None:
    draft.slot("belt")
    (said,) = run(desk, "release", draft.revision)
    assert "belt is required and has no default" in said
    draft.slots["belt"].delete()
    assert run(desk, "release", draft.revision)[-1] == "Belt pump revision 1 is released."
    draft.revision.refresh_from_db()
    assert (draft.revision.state, str(draft.revision.released_by)) == ("released", "clerk-catalogue")


def test_a_new_revision_is_made_from_a_released_one(desk: Client, belt: Conversion) -> None:
    run(desk, "make_new_revision", belt.revision)
    assert TemplateRevision.objects.get(number=2).state == "draft"


def rows(prefix: str, *filled: dict[str, object], initial: int = 0) -> dict[str, object]:
    data: dict[str, object] = {f"{prefix}-TOTAL_FORMS": len(filled), f"{prefix}-INITIAL_FORMS": initial}
    for number, row in enumerate(filled):
        data |= {f"{prefix}-{number}-{key}": value for key, value in row.items()}
    return data


def test_a_size_is_typed_as_it_stands_on_the_drawing(desk: Client, draft: Conversion) -> None:
    part: Part = draft.parts["CG-2"]
    data = {
        "maker": part.maker_id, "number": part.number, "name": part.name, "category": part.category_id,
        "price": "25.00", "tracking": "none", "standing": "current", "costing": "average",
        **rows("features", {"kind": kind("hub").pk, "size": "19.05 +0.02/-0.00 mm", "source": "drawing"}),
        **rows("alternate_numbers"), **rows("superseded_by"), **rows("offers"), **rows("target"),
        **rows("makeup"),
    }  # fmt: skip
    answer = desk.post(page("inventory_part", part), data)
    assert answer.status_code == 302, answer.context["errors"]
    made = PartFeature.objects.get(part=part, kind=kind("hub"))
    assert (made.lo, made.hi) == (mm("19.05"), mm("19.07"))


def check_form(draft: Conversion, **data: object) -> CheckForm:
    usual = {"revision": draft.revision.pk, "code": "nose", "kind": "pair", "name": "Nose"}
    return CheckForm({**usual, **data}, instance=Check(revision=draft.revision))


def test_limits_may_be_given_as_a_fit(draft: Conversion) -> None:
    form = check_form(draft, as_fit="25 H7/g6")
    assert form.is_valid(), form.errors
    # 25 H7 is 0 to +21 um and 25 g6 is -20 to -7 um.
    assert (form.save().at_least, form.instance.at_most) == (mm("0.007"), mm("0.041"))


@pytest.mark.parametrize(
    ("data", "error"),
    [
        ({"as_fit": "25 H7"}, "is not a fit; write the size, the hole and the shaft"),
        ({"as_fit": "25 H7/g6", "at_least": "0 mm"}, "Give the limits or the fit, not both"),
        ({"at_least": "0 mm", "settings": "friction: 0.12"}, "bore and shaft has no setting friction"),
        ({"at_least": "0 mm", "settings": "friction"}, "is no setting; write it as in friction: 0.12"),
        ({"at_least": "0 mm", "settings": "a: 1\na: 2"}, "a is set twice"),
    ],
)
def test_a_check_form_says_what_is_wrong(draft: Conversion, data: dict[str, object], error: str) -> None:
    assert error in str(check_form(draft, **data).errors)


def test_a_check_offers_the_roles_of_its_kind_and_no_others(desk: Client, draft: Conversion) -> None:
    page_of_pair = desk.get(page("kits_check", Check.objects.get(code="nose-fit"))).content.decode()
    assert 'value="shaft"' in page_of_pair and 'value="link"' not in page_of_pair
    page_of_chain = desk.get(page("kits_check", Check.objects.get(code="thread"))).content.decode()
    assert 'value="link"' in page_of_chain and 'value="shaft"' not in page_of_chain


def test_a_released_check_shows_no_field_to_type_a_fit_in(desk: Client, belt: Conversion) -> None:
    shown = desk.get(page("kits_check", Check.objects.get(code="nose-fit"))).content.decode()
    assert "At least" in shown and "As fit" not in shown


def feature_form(draft: Conversion, **data: object) -> FeatureForm:
    class Form(FeatureForm):
        class Meta(FeatureForm.Meta):
            model = EngineFeature

    return Form({"kind": kind("nose").pk, **data}, instance=EngineFeature(engine=draft.engine))


@pytest.mark.parametrize(
    ("size", "source", "error"),
    [
        ("25", "drawing", "has no unit"),
        ("", "drawing", "Give the size, or say that its source is unknown"),
        ("25 mm", "unknown", "A size of unknown source is no size"),
    ],
)
def test_a_feature_form_says_what_is_wrong(draft: Conversion, size: str, source: str, error: str) -> None:
    form = feature_form(draft, size=size, source=source)
    assert error in str(form.errors)


@pytest.mark.parametrize(
    ("quantity", "unit", "said", "lo", "text"),
    [
        ("length", "", "25.00 mm", 2_500_000, ""),
        ("count", "", "6", 6, ""),
        ("rating", "l/min", "12.5 l/min", 12_500, ""),
        ("text", "", "M12x1.75", None, "M12x1.75"),
    ],
)
def test_every_kind_of_feature_is_read_and_shown_as_it_is_typed(
    draft: Conversion, quantity: str, unit: str, said: str, lo: int | None, text: str
) -> None:
    nose = kind("nose")
    nose.quantity, nose.unit = quantity, unit
    nose.save()
    feature = EngineFeature.objects.get(engine=draft.engine, kind=nose)
    form = feature_form(draft, size=said, source="drawing")
    assert form.is_valid(), form.errors
    assert (form.instance.lo, form.instance.text) == (lo, text)
    feature.lo = feature.hi = form.instance.lo
    feature.text = form.instance.text
    feature.save()
    assert feature_shown(feature) == said


def feature_shown(feature: EngineFeature) -> object:
    class Form(FeatureForm):
        class Meta(FeatureForm.Meta):
            model = EngineFeature

    return Form(instance=EngineFeature.objects.get(pk=feature.pk)).initial["size"]


def test_a_count_that_is_no_number_is_refused(draft: Conversion) -> None:
    nose = kind("nose")
    nose.quantity = "count"
    nose.save()
    assert "is not a number" in str(feature_form(draft, size="six", source="drawing").errors)
    assert "finer than is stored" in str(feature_form(draft, size="6.5", source="drawing").errors)


def test_limits_of_a_check_are_lengths_in_words(draft: Conversion) -> None:
    check = draft.revision.checks.get(code="belt-plane")
    form = CheckForm(instance=check)
    assert 'value="0.30 mm"' in str(form["at_least"])
    data = {
        "revision": draft.revision.pk,
        "code": "belt-plane",
        "kind": "chain",
        "name": "x",
        "at_least": "12 thou",
    }
    form = CheckForm(data, instance=check)
    assert form.is_valid() and form.save().at_least == 30_480


def test_a_length_that_is_none_is_refused() -> None:
    field = LengthField(required=False)
    assert field.clean("") is None
    with pytest.raises(ValidationError, match="has no unit"):
        field.clean("0.3")
    assert not field.has_changed(30_000, "0.30 mm") and field.has_changed(30_000, "0.31 mm")


def test_a_selection_has_its_band_in_words(draft: Conversion) -> None:
    slot = draft.slots["spacer"]
    data = {
        "slot": slot.pk,
        "rank": 9,
        "category": draft.parts["CS-22"].category_id,
        "feature": kind("thick").pk,
    }
    assert "both the feature and the band" in str(CandidateForm(data).errors)
    assert "is not a size" in str(CandidateForm({**data, "band": "thin"}).errors)
    form = CandidateForm({**data, "band": "2..6 mm"})
    assert form.is_valid(), form.errors
    made = form.save()
    assert (made.lo, made.hi) == (mm("2"), mm("6"))
    assert 'value="2.00 to 6.00 mm"' in str(CandidateForm(instance=made)["band"])
