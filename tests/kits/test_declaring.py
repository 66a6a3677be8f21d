"""Checks that are declared wrongly, or that nothing can pass, are named before a release."""

from collections.abc import Callable

import pytest

from kits.models import Check, CheckTerm, FeatureKind
from kits.releasing import problems
from tests.kits.builders import Conversion

pytestmark = pytest.mark.django_db


def a_feature_that_no_part_has(draft: Conversion) -> None:
    draft.check("guard-gap", "0", "1", draft.term(1, "guard", "depth"))


def a_feature_that_is_no_length(draft: Conversion) -> None:
    FeatureKind.objects.filter(code="web").update(quantity="count")


def a_check_of_nothing(draft: Conversion) -> None:
    draft.check("empty", "0", "1")


def half_a_pair(draft: Conversion) -> None:
    draft.check("half", "0", "1", draft.term(1, "pulley", "bore", role="bore"), kind="pair")


def an_open_slot_elsewhere(draft: Conversion) -> None:
    draft.check("open", "0", "100", draft.term(1, "pulley", "bore"), open_slot=draft.slots["guard"])


def two_open_links(draft: Conversion) -> None:
    terms = draft.term(1, "pulley", "bore"), draft.term(-1, "pulley", "hub")
    draft.check("open", "-100", "100", *terms, open_slot=draft.slots["pulley"])


def a_check_that_nothing_passes(draft: Conversion) -> None:
    draft.check("guard-web", "90", "91", draft.term(1, "pulley", "web"))


def a_check_with_limits_of_its_own(draft: Conversion) -> None:
    Check.objects.filter(code="thread").update(kind="bound")


def a_kind_that_there_is_not(draft: Conversion) -> None:
    Check.objects.filter(code="thread").update(kind="feel")


def a_setting_that_there_is_not(draft: Conversion) -> None:
    Check.objects.filter(code="thread").update(settings={"friction": "0.1"})


def a_role_of_another_kind(draft: Conversion) -> None:
    CheckTerm.objects.filter(of__code="nose-fit", role="shaft").update(role="link")


def re_use_of_another_quantity(draft: Conversion) -> None:
    FeatureKind.objects.filter(code="old-boss").update(quantity="count")


def re_use_without_a_feature(draft: Conversion) -> None:
    CheckTerm.objects.filter(reused__isnull=False).update(reused=None)


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (a_feature_that_no_part_has, "asks for depth of guard, which no candidate of it has"),
        (a_feature_that_is_no_length, "asks for web as its link, which is a count, not a length"),
        (a_check_of_nothing, "empty has no terms"),
        (half_a_pair, "half has no shaft; say which feature that is"),
        (an_open_slot_elsewhere, "The open slot of open is not one of its terms"),
        (two_open_links, "open has two open links, since 2 of its terms are features of its open slot"),
        (
            a_check_that_nothing_passes,
            "On engine OM-3A no candidate of pulley can ever pass guard-web. With the standard kit: "
            "guard-web is 14.00 to 14.10 mm",
        ),
        (a_check_with_limits_of_its_own, "thread has limits, which a check of the kind"),
        (a_kind_that_there_is_not, "thread: there is no kind of check 'feel'; use one of chain, pair"),
        (a_setting_that_there_is_not, "dimension chain has no setting friction; it has: none"),
        (
            a_role_of_another_kind,
            "nose-fit is of the kind bore and shaft and has no role 'link'; use bore, shaft",
        ),
        (
            re_use_of_another_quantity,
            "old boss cannot take the place of boss, because it is of another quantity",
        ),
        (re_use_without_a_feature, "which feature of the engine counts when pump is re-used"),
    ],
)
def test_a_check_that_is_wrong_is_named(
    draft: Conversion, spoil: Callable[[Conversion], None], words: str
) -> None:
    assert problems(draft.revision) == []
    spoil(draft)
    assert any(words in problem for problem in problems(draft.revision)), problems(draft.revision)
