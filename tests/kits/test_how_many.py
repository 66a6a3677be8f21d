"""Whole kits from the shelves, against every kit judged by itself and counted in every way."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from io import StringIO
from random import Random

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

import kits.buildable
from inventory.models import Part
from inventory.planning import PlanningError
from kits.buildable import NoSuchConversion, buildable
from kits.compiling.keeping import Kept, kept_for
from kits.compiling.network import network_of
from kits.compiling.seats import Fillings
from kits.conversion import LEFT_OUT, PARTS, Filling
from kits.conversion import Conversion as Read
from kits.fit import Verdict
from kits.how_many import MONEY, count_kits, how_many, overview, stock_by_day
from kits.judging import judge_fills
from kits.models import Engine, EngineFeature
from kits.reading import read_conversion
from kits.solver import Search
from tests.kits.builders import Conversion, engine, feature, kind
from tests.kits.compiling.kits import every_kit, fillings_of

pytestmark = pytest.mark.django_db

TODAY = date(2026, 3, 2)
Takes = frozenset[tuple[int, int]]


def every_takes(belt: Conversion, motor: Engine | None = None) -> set[Takes]:
    """What each kit takes that surely goes and is filled from the shelves, every kit judged by itself."""
    conversion = read_conversion(belt.revision, motor or belt.engine)
    standard, fillings = conversion.default_fills(), fillings_of(conversion)
    may = {
        slot: {
            key: one
            for key, one in of_slot.items()
            if one.how == PARTS or (one.how == LEFT_OUT and standard[slot].how == LEFT_OUT)
        }
        for slot, of_slot in fillings.items()
    }
    return {
        frozenset(_added(kit.values()).items())
        for kit in every_kit(may)
        if judge_fills(conversion, kit).verdict in (Verdict.GOES_TOGETHER, Verdict.GOES_WITH_WORK)
    }


def _added(kit: Iterable[Filling]) -> dict[int, int]:
    takes: dict[int, int] = {}
    for filling in kit:
        for part, quantity in filling.parts:
            takes[part] = takes.get(part, 0) + quantity
    return takes


def most(stock: Mapping[int, int], kits: set[Takes]) -> int:
    """By building one kit after the other in every way."""

    @cache
    def after(left: Takes) -> int:
        here = dict(left)
        built = [
            1 + after(frozenset({**here, **{part: here[part] - n for part, n in kit}}.items()))
            for kit in kits
            if all(here[part] >= n for part, n in kit)
        ]
        return max(built, default=0)

    return after(frozenset(stock.items()))


def test_as_many_kits_as_can_be_built_one_after_the_other(belt: Conversion) -> None:
    [found] = buildable()
    whole, chance = every_takes(belt), Random(1)
    assert found.exact and whole and found.parts == {part for kit in whole for part, _ in kit}
    for _ in range(12):
        stock = {part: chance.choice((0, 1, 1, 2, 4)) for part in sorted(found.parts)}
        assert count_kits([found], stock) == (most(stock, whole),)


def test_a_part_in_the_way_is_told_with_what_it_gains(belt: Conversion) -> None:
    [found] = buildable("belt-pump")
    whole = every_takes(belt)
    plenty = dict.fromkeys(sorted(found.parts), 8)
    always = next(part for part in sorted(found.parts) if all(part in dict(kit) for kit in whole))
    stock = plenty | {always: 1}
    [counted] = how_many([found], stock, TODAY).counted
    [way] = counted.in_the_way
    assert (counted.alone, way.part.pk) == (most(stock, whole), always)
    assert most(stock | {always: 1 + way.pieces}, whole) == counted.alone + way.gained
    assert f"{way.pieces} more of {way.part}" in way.said
    assert [short.part.pk for short in counted.lacks] == [always]


def test_engines_with_the_same_kits_are_one_and_others_are_not(draft: Conversion) -> None:
    same, other = engine("OM-3B"), engine("OM-3C", plane="44.65..44.70 mm")
    draft.revision.engines.add(same, other)
    draft.released()
    assert [one.engines for one in buildable()] == [("OM-3A", "OM-3B"), ("OM-3C",)]
    networks = []
    for one in (draft.engine, same, other):
        read = read_conversion(draft.revision, one)
        networks.append(kept_for(read, fillings_of(read)))
    assert networks[0] is networks[1] is not networks[2]
    [only] = buildable("", "OM-3C")
    assert only.title.endswith(", for OM-3C")


def test_conversions_that_compete_are_counted_together(draft: Conversion) -> None:
    other = engine("OM-3C", plane="44.65..44.70 mm")
    draft.revision.engines.add(other)
    both = buildable() if draft.released() else []
    whole, chance = every_takes(draft) | every_takes(draft, other), Random(3)
    for _ in range(6):
        stock = {part: chance.choice((0, 1, 2, 3)) for part in sorted(both[0].parts | both[1].parts)}
        found = how_many(both, stock, TODAY)
        assert found.together == most(stock, whole)
        assert found.together == sum(one.together for one in found.counted)
        assert count_kits(both, stock) == tuple(one.together for one in found.counted)
        assert [one.alone for one in found.counted] == [
            most(stock, every_takes(draft)),
            most(stock, every_takes(draft, other)),
        ]


def test_for_most_money_the_dearer_kits_come_first(draft: Conversion) -> None:
    other = engine("OM-3C", plane="44.65..44.70 mm")
    draft.revision.engines.add(other)
    first, second = buildable() if draft.released() else []
    chance = Random(5)
    worlds = [draft, draft]
    kits = every_takes(worlds[0]), every_takes(worlds[1], other)
    for price in (Decimal("0.50"), Decimal("2.25")):
        both = [replace(first, price=Decimal("1.00")), replace(second, price=price)]
        for _ in range(4):
            stock = {part: chance.choice((0, 1, 2, 3)) for part in sorted(first.parts | second.parts)}
            found = how_many(both, stock, TODAY, MONEY)
            assert found.price == dearest(stock, [(kits[0], both[0].price), (kits[1], both[1].price)])
            assert count_kits(both, stock, MONEY) == found.kits
            assert found.in_the_way == how_many(both, stock, TODAY).in_the_way


def dearest(stock: Mapping[int, int], priced: list[tuple[set[Takes], Decimal]]) -> Decimal:
    """The most money that any order of building gives."""

    @cache
    def after(left: Takes) -> Decimal:
        here = dict(left)
        return max(
            (
                price + after(frozenset({**here, **{part: here[part] - n for part, n in kit}}.items()))
                for kits, price in priced
                for kit in kits
                if all(here[part] >= n for part, n in kit)
            ),
            default=Decimal(0),
        )

    return after(frozenset(stock.items()))


def test_a_price_is_that_of_the_standard_kit(belt: Conversion) -> None:
    [found] = buildable()
    fills = read_conversion(belt.revision, belt.engine).default_fills().values()
    prices = dict(Part.objects.values_list("pk", "price"))
    assert found.price == sum(prices[part] * n for one in fills for part, n in one.parts) > 0


def test_an_engine_on_which_nothing_surely_goes_has_no_kits(belt: Conversion) -> None:
    EngineFeature.objects.filter(engine=belt.engine, kind=kind("nose")).update(**feature("26 mm"))
    [found] = buildable()
    assert found.slots == () and count_kits([found], {}) == (0,)
    [counted] = how_many([found], {}, TODAY).counted
    assert (counted.alone, counted.together, counted.in_the_way, counted.lacks) == (0, 0, (), ())


def test_with_too_many_rules_the_number_is_a_limit_and_says_so(
    belt: Conversion, monkeypatch: pytest.MonkeyPatch
) -> None:
    [exact] = buildable()

    def searching(conversion: Read, fillings: Fillings) -> Kept:
        drafted = network_of(conversion, fillings)
        return Kept(Search.of(drafted.network, 1_000_000, 5.0), drafted.costs, drafted.minutes)

    monkeypatch.setattr(kits.buildable, "kept_for", searching)
    [limited] = buildable()
    assert not limited.exact
    chance = Random(2)
    for _ in range(6):
        stock = {part: chance.randint(0, 3) for part in sorted(exact.parts | limited.parts)}
        assert count_kits([limited], stock) >= count_kits([exact], stock)


def test_stock_is_what_can_be_promised_by_the_day(belt: Conversion) -> None:
    found, now = buildable(), timezone.now()
    today = timezone.localdate(now)
    stock = stock_by_day(found, now, [today, today + timedelta(30)])
    assert set(stock[today]) == found[0].parts and min(stock[today].values()) >= 0
    seen = overview(now)
    assert seen.day.counted[0].together == count_kits(found, stock[today])[0]
    ahead = stock_by_day(found, now, [one.on for one in seen.ahead])
    assert [one.kits for one in seen.ahead] == [count_kits(found, ahead[one.on]) for one in seen.ahead]


def test_a_day_that_is_over_and_codes_of_nothing_are_refused(belt: Conversion) -> None:
    with pytest.raises(PlanningError, match="is over"):
        overview(timezone.now(), on=date(2020, 1, 1))
    for template, motor, said in (("x", "", "no released template"), ("", "x", "no engine")):
        with pytest.raises(NoSuchConversion, match=said):
            buildable(template, motor)


def test_the_command_prints_a_page_or_json(belt: Conversion) -> None:
    page, plain = StringIO(), StringIO()
    call_command("how_many", stdout=page)
    assert "Whole kits from the shelves" in page.getvalue() and "for OM-3A" in page.getvalue()
    call_command("how_many", "--json", "--most", "money", stdout=plain)
    said = json.loads(plain.getvalue())
    [one] = said["conversions"]
    assert said["most"] == "money" and Decimal(one["price"]) > 0
    assert (one["engines"], one["exact"], len(one["ahead"])) == (["OM-3A"], True, 4)
    with pytest.raises(CommandError, match="no released template"):
        call_command("how_many", "x")
