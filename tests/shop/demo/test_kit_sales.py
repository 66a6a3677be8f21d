"""Two years of kits: what they took, what was lost, and what the demand of parts looks like with them."""

from collections import Counter
from datetime import date, datetime, time

import pytest
from django.db.models import Sum
from django.utils import timezone

from inventory.demand import daily_rates, kits_sold, known_demand
from inventory.models import Demand, MonthlyDemand
from kits.fit import Verdict
from kits.models import KitTemplate
from shop.demo.kit_sales import load_kit_sales
from shop.demo.known import Known
from shop.demo.reading import Entry, FixtureError, read_csv
from tests.shop.demo.benching import judged, part_named

pytestmark = pytest.mark.main_job

COLUMNS = ["months_back", "day", "kit", "engine", "kits", "swaps", "how", "slots"]


def test_every_kind_of_sale_is_shown(shop: date) -> None:
    assert set(Demand.objects.values_list("kind", flat=True)) == {"kit", "lost", "return"}
    assert Demand.objects.filter(one_off=True).values("reference").distinct().count() == 1
    stood_in = Demand.objects.exclude(first_choice=None).values_list("part__number", "first_choice__number")
    assert {("HC-32-N", "HC-32"), ("CV 316", "CV 312")} <= set(stood_in)
    assert Demand.objects.filter(day__gte=shop.replace(day=1)).count() == 0


def test_a_kit_takes_its_defaults_but_for_what_was_swapped(shop: date) -> None:
    kits = kits_sold(shop)
    assert {kit.kit for kit in kits} == {"belt-front", "raw-water-aside", "flexible-drive"}
    clamps, others = part_named("hoskerby HC-32"), part_named("hoskerby HC-32-N")
    for kit in kits:
        if kit.kit == "belt-front" and not kit.lost:
            # Eight of the narrow ones do for four.
            assert 2 * kit.parts.get(clamps.pk, 0) + kit.parts.get(others.pk, 0) in (0, 8 * kit.kits)
            assert kit.parts[part_named("aldwen AW-1404").pk] == kit.kits
    assert sum(kit.lost for kit in kits) == 10
    assert [kit.kits for kit in kits if kit.one_off] == [12]


def test_a_kit_that_came_back_whole_was_not_sold(shop: date) -> None:
    whole = [row for row in read_csv("kit_sales.csv", COLUMNS) if row.text("how") == "came back"]
    assert len(whole) == 4
    back = set(Demand.objects.filter(kind="return").values_list("reference", flat=True))
    assert len(back & {kit.reference for kit in kits_sold(shop)}) == 3


def test_what_goes_in_kits_and_what_goes_loose_add_up(shop: date) -> None:
    """106 of these pulleys were sold in two years, and 12 more in the large order."""
    pulley = part_named("aldwen AW-1502")
    loose = MonthlyDemand.objects.filter(part=pulley).aggregate(n=Sum("quantity"))["n"]
    table = known_demand(shop, part_ids=[pulley.pk], lost=False)
    assert table.values.shape == (1, 24)
    assert table.values.sum() == 106 + 12
    usual = known_demand(shop, part_ids=[pulley.pk], lost=False, one_offs=False)
    assert usual.values[0, 12:].sum() == 52
    in_kits = Demand.objects.filter(part=pulley, kind="kit").aggregate(n=Sum("quantity"))["n"]
    assert loose + in_kits == 106 + 12 + 1  # One came back.


def test_the_old_pump_leaves_its_history_to_the_new_one(shop: date) -> None:
    old, new = part_named("corvane CV 310"), part_named("corvane CV 312")
    table = known_demand(shop, part_ids=[new.pk])
    assert table.parts == (new.pk,)
    assert Demand.objects.filter(part=old, kind="kit").exists()
    noon = timezone.make_aware(datetime.combine(shop, time(12)))
    by_itself = daily_rates([old.pk, new.pk], noon)
    assert by_itself[old.pk] > 0 and by_itself[new.pk] > 0


def test_every_kit_that_was_sold_goes_together(shop: date) -> None:
    """Once for each engine and set of swaps; what was re-used from the engine may have to be measured."""
    combinations: Counter[tuple[str, str, str]] = Counter()
    for row in read_csv("kit_sales.csv", COLUMNS):
        if row.has("engine") and row.text("how") != "lost":
            combinations[row.text("kit"), row.text("engine"), row.text("swaps", "")] += 1
    for kit, engine, said in combinations:
        swaps = dict(swap.strip().split(": ") for swap in said.split(";") if swap.strip())
        named = {code.replace("-", "_"): what.replace("left out", "left-out") for code, what in swaps.items()}
        assert judged(kit, engine, **named).verdict is not Verdict.DOES_NOT_GO, (kit, engine, said)


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("kit", "belt-back", "is not in templates/"),
        ("engine", "FET-30", "is not released for it"),
        ("months_back", "25", "is not 1 to 24"),
        ("day", "29", "is not in every month"),
        ("swaps", "pomp: corvane CV 316", "is no slot of the kit"),
        ("swaps", "pump: corvane CV 999", "is not in parts/"),
        ("how", "stolen", "is not one of"),
        ("slots", "pump; pomp", "pomp took nothing"),
    ],
)
def test_a_slip_of_the_pen_is_named(
    shop: date, monkeypatch: pytest.MonkeyPatch, field: str, value: str, said: str
) -> None:
    good = {"months_back": "3", "day": "8", "kit": "belt-front", "kits": "1", "how": "sold"}
    entry = Entry("kit_sales.csv", "line 2", good | {field: value})
    monkeypatch.setattr("shop.demo.kit_sales.read_csv", lambda *_: [entry])
    known = Known(templates={template.code: template for template in KitTemplate.objects.all()})
    before = Demand.objects.count()
    with pytest.raises(FixtureError, match=said):
        load_kit_sales(known, shop)
    assert Demand.objects.count() == before
