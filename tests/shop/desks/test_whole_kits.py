"""The kit sheet's candidates: whole kits first, what follows with one click, what is in the way last."""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from inventory.models import Part, Stock
from kits.costed import Costed
from kits.models import CustomKit, Rule, RuleTerm, Slot, Substitution
from kits.solver import OutOfTime
from tests.shop.desks.catalogue import drafting, offer
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop

BY_PAGE = {"HX-Request": "true"}


def another(like: Part, number: str, price: int) -> Part:
    return Part.objects.create(
        maker=like.maker, number=number, name=like.name, category=like.category, price=Decimal(price)
    )


def clash(shop: SmallShop, code: str, one: tuple[str, Part], other: tuple[str, Part]) -> None:
    rule = Rule.objects.create(revision=shop.revision, code=code, kind="clashes", text=f"{code} says why.")
    for slot, part in (one, other):
        RuleTerm.objects.create(rule=rule, slot=Slot.objects.get(code=slot), name="part", values=[part.key])


@pytest.fixture
def parts(small_shop: SmallShop) -> dict[str, Part]:
    """A wide pulley that goes with long bolts only; and a rough one that goes with no bolt at all."""
    with drafting(small_shop.revision):
        made = {
            "wide": another(small_shop.pulley, "OR-41", 55),
            "rough": another(small_shop.pulley, "OR-49", 20),
            "long": another(small_shop.bolt, "OR-9B", 2),
        }
        for name, slot, rank in (("rough", "pulley", 2), ("wide", "pulley", 3), ("long", "bolts", 2)):
            offer(made[name], slot, rank=rank)
        clash(small_shop, "short-bolts", ("pulley", made["wide"]), ("bolts", small_shop.bolt))
        clash(small_shop, "rough-and-short", ("pulley", made["rough"]), ("bolts", small_shop.bolt))
        clash(small_shop, "rough-and-long", ("pulley", made["rough"]), ("bolts", made["long"]))
    return made


def key(part: Part) -> str:
    return f"parts:{part.pk}"


def press(browser: Client, kit: CustomKit, do: str, fields: Mapping[str, str]) -> Any:
    kit.refresh_from_db()
    form = {"do": do, "slot": "pulley", "version": str(kit.version), **fields}
    return browser.post(reverse("kit", args=[kit.pk]), form, follow=True)


def opened(browser: Client, kit: CustomKit, slot: str = "pulley") -> Any:
    return browser.get(reverse("kit", args=[kit.pk]), {"slot": slot})


def in_the_way(browser: Client, kit: CustomKit, part: Part, **more: Any) -> Any:
    asked = {"slot": "pulley", "key": key(part)}
    return browser.get(reverse("kit-in-the-way", args=[kit.pk]), asked, **more)


def hidden(answer: Any) -> dict[str, str]:
    """The fields of a page that say what is chosen and what follows."""
    page = answer.content.decode()
    return dict(re.findall(r'name="((?:chosen|follows)-[^"]+)" value="([^"]+)"', page))


def test_whole_kits_come_first_and_what_is_in_none_last(
    at: At, small_shop: SmallShop, parts: dict[str, Part]
) -> None:
    page = said(opened(at("counter"), small_shop.kit()))
    fitted, follows, last = (page.index(text) for text in ("fitted", "goes, 1 follows", "1 in no whole kit"))
    assert fitted < follows < last < page.index("OR-49 pulley")
    assert "and with it: bolts OR-9B" in page and "+17.00" in page  # 15.00, and four bolts at 0.50 more


def test_one_click_fits_a_candidate_with_what_follows(
    at: At, small_shop: SmallShop, parts: dict[str, Part]
) -> None:
    browser, kit = at("counter"), small_shop.kit()
    fields = hidden(opened(browser, kit))
    assert fields == {"chosen-pulley": key(parts["wide"]), "follows-bolts": key(parts["long"])}
    page = said(press(browser, kit, "together", fields))
    assert "183.00" in page and "goes together" in page
    assert list(kit.fills.filter(chosen=True).values_list("slot__code", flat=True)) == ["pulley"]


def test_a_kit_that_is_not_there_today_shows_what_is_sooner(
    at: At, small_shop: SmallShop, parts: dict[str, Part]
) -> None:
    browser, kit = at("counter"), small_shop.kit()
    assert "Sooner" not in said(opened(browser, kit))
    Stock.objects.filter(part=small_shop.bolt).update(on_hand=0, value=0)
    Stock.objects.update_or_create(part=parts["long"], defaults={"on_hand": 40})
    page = said(opened(browser, kit))
    assert "Sooner, with all that was chosen" in page and "OR-9B" in page
    fields = {"follows-bolts": key(parts["long"])}
    assert "Sooner" not in said(press(browser, kit, "together", fields))


def test_what_is_chosen_is_marked_and_may_follow_again(
    at: At, small_shop: SmallShop, parts: dict[str, Part]
) -> None:
    browser, kit = at("counter"), small_shop.kit()
    assert "Insist on it" in said(opened(browser, kit))
    page = said(press(browser, kit, "together", {"chosen-pulley": key(small_shop.pulley)}))
    assert " chosen" in page and "May follow" in page and "Insist on it" not in page
    page = said(press(browser, kit, "follow", {}))
    assert " chosen" not in page and "Insist on it" in page


def test_what_is_in_the_way_is_told_with_ways_out_that_are_one_click(
    at: At, small_shop: SmallShop, parts: dict[str, Part]
) -> None:
    browser, kit = at("counter"), small_shop.kit()
    press(browser, kit, "together", {"chosen-bolts": key(small_shop.bolt)})
    assert "2 in no whole kit" in said(opened(browser, kit))
    told = in_the_way(browser, kit, parts["wide"], headers=BY_PAGE)
    words = said(told)
    assert "Does not go with what was chosen: bolts OR-8B" in words and "short-bolts says why." in words
    assert "Change bolts OR-9B" in words and "+17.00" in words
    done = press(browser, kit, "together", hidden(told))
    assert "goes together" in said(done)
    assert kit.fills.get(slot__code="pulley").parts.get().part == parts["wide"]


def test_what_goes_with_nothing_says_so(at: At, small_shop: SmallShop, parts: dict[str, Part]) -> None:
    sheet = in_the_way(at("counter"), small_shop.kit(), parts["rough"])
    assert read(sheet).faults == []
    assert "No whole kit on this engine has it" in said(sheet) and "rough-and-long says why." in said(sheet)


def test_choices_that_exclude_each_other_are_named_with_the_reason(
    at: At, small_shop: SmallShop, parts: dict[str, Part]
) -> None:
    browser, kit = at("counter"), small_shop.kit()
    both = {"chosen-bolts": key(small_shop.bolt), "chosen-pulley": key(parts["wide"])}
    answer = press(browser, kit, "together", both)
    page = said(answer)
    assert read(answer).faults == []
    assert "These exclude each other" in page and "short-bolts says why." in page
    assert "May follow : Bolts" in page or "May follow: Bolts" in page
    page = said(press(browser, kit, "follow", {"slot": "bolts"}))
    assert "To a whole kit with what was chosen" in page and "bolts OR-9B" in page and "Let it follow" in page


def test_an_agreement_is_asked_for_where_what_follows_needs_it(
    at: At, small_shop: SmallShop, parts: dict[str, Part]
) -> None:
    with drafting(small_shop.revision):
        Substitution.objects.create(
            slot=Slot.objects.get(code="bolts"), standard=small_shop.bolt, stand_in=parts["long"],
            agreement="customer",
        )  # fmt: skip
    browser, kit = at("counter"), small_shop.kit()
    assert "The customer has to agree" in said(opened(browser, kit))
    fields = {"chosen-pulley": key(parts["wide"]), "follows-bolts": key(parts["long"])}
    refused = press(browser, kit, "together", {**fields, "key": key(parts["wide"])})
    assert refused.status_code == 422 and "needs the customer to agree" in said(refused)
    agreed = press(browser, kit, "together", {**fields, "agreed": "Ines, by telephone"})
    assert agreed.status_code == 200
    assert kit.fills.get(slot__code="bolts").agreed == "Ines, by telephone"


def test_a_slot_is_told_by_itself_when_the_page_asks(
    at: At, small_shop: SmallShop, parts: dict[str, Part]
) -> None:
    browser, kit = at("counter"), small_shop.kit()
    address = reverse("kit-slot", args=[kit.pk, "pulley"])
    part = browser.get(address, headers=BY_PAGE).content.decode()
    assert "OR-41" in part and "<html" not in part
    assert browser.get(address).headers["Location"].endswith("?slot=pulley#slot-pulley")
    assert browser.get(reverse("kit-slot", args=[kit.pk, "mast"]), headers=BY_PAGE).status_code == 404
    assert in_the_way(browser, kit, Part(pk=0)).status_code == 404
    assert browser.post(address).status_code == 405


def test_what_is_not_yet_known_is_said(
    at: At, small_shop: SmallShop, parts: dict[str, Part], monkeypatch: pytest.MonkeyPatch
) -> None:
    def late(*_: Any, **__: Any) -> Any:
        raise OutOfTime

    class Slow:
        options = changes = possible = best = conflict = repairs = late

    class Late:
        solver, costs = Slow(), dict[Any, int]()

    monkeypatch.setattr(Costed, "kept", Late())
    monkeypatch.setattr(Costed, "without_brought", lambda *_: Late())
    browser, kit = at("counter"), small_shop.kit()
    assert said(opened(browser, kit)).count("not yet known") == 2
    assert "Not yet known" in said(in_the_way(browser, kit, parts["wide"], headers=BY_PAGE))


@pytest.mark.parametrize("desk", ["floor", "buying"])
def test_the_lists_of_a_kit_are_the_counters(at: At, small_shop: SmallShop, desk: str) -> None:
    kit = small_shop.kit()
    for address in (reverse("kit-slot", args=[kit.pk, "pulley"]), reverse("kit-in-the-way", args=[kit.pk])):
        assert at(desk).get(address).status_code == 403
