"""What is in the demo, and that loading it twice changes nothing."""

from datetime import date, timedelta
from decimal import Decimal
from io import StringIO

import pytest
from django.apps import apps
from django.contrib.auth.models import User
from django.core.management import call_command
from django.db.models import Count, F, Sum
from django.utils import timezone

from inventory.models import (
    Category,
    Maker,
    MonthlyDemand,
    Movement,
    Part,
    PriceBreak,
    PurchaseLine,
    PurchaseOrder,
    Supersession,
    Supplier,
    Target,
    scan_key,
)
from inventory.promising import free
from kits.fit import KINDS
from kits.models import (
    Check,
    Engine,
    EngineFamily,
    EngineFeature,
    Feature,
    FittingStep,
    PartFeature,
    Rule,
    Slot,
    Substitution,
    TemplateRevision,
)
from shop.demo import FixtureError, load
from shop.demo.buying import month_back
from tests.shop.demo.benching import conversion_of, part_named


def test_the_scenario_is_as_large_as_a_small_shop(shop: date) -> None:
    assert Part.objects.count() >= 150
    assert Maker.objects.count() >= 6
    assert Engine.objects.count() == 12
    assert EngineFamily.objects.count() == 3
    assert Supplier.objects.count() == 4
    assert {n for (n,) in TemplateRevision.objects.annotate(n=Count("slots")).values_list("n")} == {
        13,
        14,
        18,
    }


def test_every_part_can_be_scanned_and_has_a_home(shop: date) -> None:
    parts = list(Part.objects.all())
    assert [part.number for part in parts if part.key != scan_key(part.number)] == []
    assert [part.number for part in parts if part.home is None] == []


def test_no_category_stands_empty(shop: date) -> None:
    assert list(Category.objects.filter(parts=None)) == []


def test_every_kind_of_rule_agreement_and_price_is_shown(shop: date) -> None:
    assert set(Rule.objects.values_list("kind", flat=True)) == set(Rule.Kind.values)
    said = Substitution.objects.all()
    assert set(said.values_list("agreement", flat=True)) == set(Substitution.Agreement.values)
    assert set(said.values_list("pricing", flat=True)) == set(Substitution.Pricing.values)
    assert set(Part.objects.values_list("tracking", flat=True)) == set(Part.Tracking.values)
    assert set(Part.objects.values_list("standing", flat=True)) == set(Part.Standing.values)
    assert Slot.objects.filter(own_allowed=True).exists()
    assert Slot.objects.filter(reuse_allowed=True).exists()
    assert Supersession.objects.count() == 2


def test_every_kind_of_check_is_shown(shop: date) -> None:
    assert set(Check.objects.values_list("kind", flat=True)) == set(KINDS)


def test_what_is_unknown_is_unknown_on_purpose(shop: date) -> None:
    of_parts = PartFeature.objects.filter(source=Feature.Source.UNKNOWN)
    assert {row.part.number for row in of_parts} == {"TL/5-260", "TL/7-401", "E-34", "E-71", "IV.95"}
    of_engines = EngineFeature.objects.filter(source=Feature.Source.UNKNOWN)
    assert {(row.engine.family.code, row.kind.code) for row in of_engines} == {
        ("fettle", "nose-thread-depth")
    }


def test_what_must_not_be_reused_says_why(shop: date) -> None:
    codes = Slot.objects.exclude(never_reuse="").values_list("code", flat=True)
    assert {"nose-bolt", "coupling-bolts", "lock-nut"} <= set(codes)


def test_every_torque_has_an_invented_source(shop: date) -> None:
    torques = FittingStep.objects.exclude(torque_nm=None)
    assert torques.count() >= 6
    assert [step.text for step in torques if not step.torque_source.startswith("Demo ")] == []


def test_every_template_is_released(shop: date) -> None:
    states = set(TemplateRevision.objects.values_list("state", flat=True))
    assert states == {TemplateRevision.State.RELEASED}


def test_nobody_can_act_as_the_system_user_afterwards(shop: date) -> None:
    user = User.objects.get(username="demo")
    assert not user.is_active
    assert not user.has_usable_password()
    assert user.get_all_permissions() == set()


def test_opening_stock_is_in_the_ledger(shop: date) -> None:
    assert set(Movement.objects.values_list("reference", flat=True)) == {"opening stock"}
    call_command("check_ledger", stdout=StringIO())


def test_opening_stock_has_a_cost_one_part_by_lot_and_one_is_made_up_here(shop: date) -> None:
    (impeller,) = Part.objects.filter(costing="lot")
    assert impeller == part_named("corvane CV 590")
    kept = impeller.lots.aggregate(pieces=Sum("on_hand"), worth=Sum("value"))
    assert kept == {"pieces": impeller.stock.on_hand, "worth": impeller.stock.value}
    assert impeller.stock.value == impeller.stock.on_hand * Decimal("8.99") > 0
    made_up = part_named("skarrow SQ-G1").makeup.values_list("component__number", "quantity")
    assert dict(made_up) == {"GS 701": 1, "GS 711": 1}
    assert not Movement.objects.filter(value=0, part__offers__price__gt=0).exists()


@pytest.mark.parametrize(
    ("template", "engine"),
    [("belt-front", "BOD-22"), ("raw-water-aside", "HED-10"), ("flexible-drive", "FET-30")],
)
def test_one_standard_kit_of_each_can_ship_today(shop: date, template: str, engine: str) -> None:
    fills = conversion_of(template, engine).default_fills().values()
    wants: dict[int, int] = {}
    for part_id, quantity in (pair for fill in fills for pair in fill.parts):
        wants[part_id] = wants.get(part_id, 0) + quantity
    there = free(wants, timezone.now())
    assert {pk: n for pk, n in wants.items() if there[pk] < n} == {}


def test_some_parts_are_short_and_kits_compete_for_others(shop: date) -> None:
    assert Target.objects.filter(part__stock__on_hand__lte=F("reorder_at")).count() >= 5
    assert part_named("corvane CV 316").stock.on_hand == 0
    shared = Part.objects.annotate(n=Count("candidacies__candidate__slot__revision", distinct=True))
    assert shared.filter(n__gte=2).count() >= 4


def test_sales_run_back_two_years_from_last_month(shop: date) -> None:
    months = sorted(set(MonthlyDemand.objects.values_list("month", flat=True)))
    assert len(months) == 24
    assert (months[0], months[-1]) == (date(2029, 3, 1), date(2031, 2, 1))
    assert (
        MonthlyDemand.objects.filter(part=part_named("hoskerby HC-32")).aggregate(n=Sum("quantity"))["n"] > 0
    )


@pytest.mark.parametrize(
    ("today", "back", "month"),
    [
        (date(2031, 1, 31), 1, date(2030, 12, 1)),
        (date(2031, 12, 1), 12, date(2030, 12, 1)),
        (date(2031, 3, 17), 24, date(2029, 3, 1)),
    ],
)
def test_a_month_back_is_the_first_of_it(today: date, back: int, month: date) -> None:
    assert month_back(today, back) == month


def test_two_suppliers_are_late_and_one_order_is_a_draft(shop: date) -> None:
    late = PurchaseLine.objects.filter(due__lt=shop, received=0)
    found = {line.order.supplier.code: shop - line.due for line in late}
    assert found == {"sowerbeck": timedelta(days=9), "melrick": timedelta(days=3)}
    assert all(line.first_due == line.due and line.ordered == line.quantity for line in late)


def test_every_supplier_has_terms_and_lower_prices_for_more(shop: date) -> None:
    for supplier in Supplier.objects.all():
        assert 0 < supplier.least_value < (supplier.free_carriage_from or 0) and supplier.carriage > 0
        assert PriceBreak.objects.filter(offer__supplier=supplier, price__lt=F("offer__price")).exists()
    assert not PriceBreak.objects.filter(price__gte=F("offer__price")).exists()
    assert PurchaseOrder.objects.filter(state="draft", sent_at=None).count() == 1
    assert PurchaseOrder.objects.filter(state="sent", sent_at=None).count() == 0


def test_loading_twice_changes_nothing(shop: date) -> None:
    before = _rows()
    load(shop + timedelta(days=40))
    assert _rows() == before


def test_a_shop_with_other_parts_is_left_alone(db: None) -> None:
    maker = Maker.objects.create(code="other", name="Other")
    category = Category.objects.create(code="other", name="Other")
    Part.objects.create(maker=maker, number="1", name="one", category=category, price=1)
    before = _rows()
    with pytest.raises(FixtureError, match="Load the demo into an empty database"):
        load(date(2031, 3, 17))
    assert _rows() == before


def _rows() -> dict[str, int]:
    return {model._meta.label: model._default_manager.count() for model in apps.get_models()}
