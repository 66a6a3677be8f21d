"""The kit page's drawing: balloons numbered as in the parts list, and the working below it."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from kits.models import Check, CheckTerm, EngineFeature, FeatureKind, PartFeature, Slot
from tests.shop.desks.catalogue import drafting
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read
from tests.shop.small import SmallShop


@pytest.fixture(autouse=True)
def gap(small_shop: SmallShop) -> None:
    """A nose less the hub of the pulley on it: 0.3 to 0.6 mm, wanted up to 1 mm."""
    with drafting(small_shop.revision):
        check = Check.objects.create(
            revision=small_shop.revision, code="gap", name="Gap", kind="chain", at_least=0, at_most=100_000
        )
        nose = FeatureKind.objects.create(code="nose-length", name="nose length")
        hub = FeatureKind.objects.create(code="hub-length", name="hub length")
        CheckTerm.objects.create(of=check, sequence=1, feature=nose, sign=1)
        CheckTerm.objects.create(
            of=check, sequence=2, slot=Slot.objects.get(code="pulley"), feature=hub, sign=-1
        )
    EngineFeature.objects.create(
        engine=small_shop.engine, kind=nose, lo=4_000_000, hi=4_010_000, source="drawing"
    )
    PartFeature.objects.create(part=small_shop.pulley, kind=hub, lo=3_950_000, hi=3_970_000, source="drawing")


def page_of(browser: Client, shop: SmallShop) -> str:
    answer = browser.get(reverse("kit", args=[shop.kit().pk]))
    assert read(answer).faults == []
    return str(answer.content.decode())


def test_the_balloons_of_the_drawing_are_those_of_the_parts_list(at: At, small_shop: SmallShop) -> None:
    page = page_of(at("counter"), small_shop)
    listed = dict(re.findall(r'class="balloon" aria-hidden="true">(\d+)</span>\s*<span class="what">'
                             r'<span class="slot-name">([^<]+)<', page))  # fmt: skip
    worked = re.findall(r'part-of-sum"><span class="balloon">(\w+)</span><span>([^<]+) <small>', page)
    assert worked and all(sign == "E" or label.startswith(listed[sign]) for sign, label in worked)
    drawn = re.findall(r'class="callout"/><text[^>]*>(\w+)</text>', page)
    assert {sign for sign, _ in worked} == set(drawn)


def test_the_working_stands_below_the_drawing(at: At, small_shop: SmallShop) -> None:
    page = page_of(at("counter"), small_shop)
    working = page.split('<details class="working"')[1].split("</details>")[0]
    assert all(word in working for word in ("Least, mm", "Most, mm", "Sum", "Wanted", "To spare"))
    assert all(figure in working for figure in ("+40.00", "−39.50", "+0.30", "+0.60", "67 %"))
    assert page.index("<svg xmlns") < page.index('<details class="working"') < page.index("parts-heading")
