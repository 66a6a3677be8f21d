"""What every slot could be filled with, and what each swap would do."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.models import Offer, Stock, Supplier
from kits.customising import open_kit, swap
from kits.expanding import expand
from kits.fit import Verdict
from kits.judging import judge_kit
from kits.models import CustomKit, Substitution
from kits.options import Option, SlotOptions, slot_options
from tests.clerks import Clerk
from tests.kits.builders import Conversion, part

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def counter(clerk: Clerk) -> User:
    return clerk("counter")


def options_of(kit: CustomKit, slot: str) -> SlotOptions:
    return next(found for found in slot_options(kit, timezone.now()) if found.code == slot)


def option(kit: CustomKit, slot: str, key: str) -> Option:
    return next(found for found in options_of(kit, slot).options if found.key == key)


def test_every_candidate_has_its_verdict_and_reasons(kit: CustomKit, belt: Conversion) -> None:
    verdicts = {found.label: found.verdict for found in options_of(kit, "pulley").options}
    assert verdicts == {
        "Corran CP-104 pulley": Verdict.GOES_TOGETHER,
        "Corran CP-120 pulley": Verdict.GOES_WITH_WORK,
        "Corran CP-141 pulley": Verdict.DOES_NOT_GO,
        "Corran CP-150 pulley": Verdict.MEASURE_FIRST,
    }
    assert all(found.reasons for slot in slot_options(kit, timezone.now()) for found in slot.options)


def test_own_re_used_and_left_out_are_offered_where_the_template_allows(kit: CustomKit) -> None:
    offered = {
        slot.code: [o.key for o in slot.options if not o.parts] for slot in slot_options(kit, timezone.now())
    }
    assert offered == {
        "pulley": [],
        "spacer": [],
        "bolt": [],
        "pump": ["own", "reused"],
        "guard": ["left-out"],
    }


def test_an_option_says_what_the_swap_will_do(kit: CustomKit, belt: Conversion, counter: User) -> None:
    """Verdict and price of every option are what judging and expanding say once it is swapped in."""
    before = expand(kit).price
    for slot in slot_options(kit, timezone.now()):
        for found in slot.options:
            swap(counter, kit, slot.code, found.key)
            assert judge_kit(kit).verdict is found.verdict, found.label
            assert expand(kit).price - before == found.price_difference, found.label
        swap(counter, kit, slot.code, slot.current)


def test_the_work_is_in_the_difference(kit: CustomKit, belt: Conversion) -> None:
    assert option(kit, "pulley", belt.key("CP-120")).price_difference == Decimal("40.00")
    assert option(kit, "pump", "reused").price_difference == Decimal("-310.00")


@pytest.mark.parametrize(
    ("pricing", "price", "difference"),
    [
        ("difference", "2.00", "3.00"),
        ("difference", "1.00", "-3.00"),
        ("same price", "2.00", "0.00"),
        ("same price", "1.00", "0.00"),
        ("credit", "2.00", "0.00"),
        ("credit", "1.00", "-3.00"),
    ],
)
def test_a_stand_in_is_priced_as_agreed(
    draft: Conversion, counter: User, pricing: str, price: str, difference: str
) -> None:
    draft.parts["CB-31"] = part("CB-31", "bolt", price, length="29.8..30.0 mm")
    Substitution.objects.create(
        slot=draft.slots["bolt"],
        standard=draft.parts["CB-30"],
        stand_in=draft.parts["CB-31"],
        pricing=pricing,
        agreement="customer",
    )
    kit = open_kit(counter, draft.released().template, draft.engine)
    key = draft.key("CB-31")
    found = option(kit, "bolt", key)
    assert (found.price_difference, found.agreement) == (Decimal(difference), "customer")
    before = expand(kit).price
    assert expand(swap(counter, kit, "bolt", key, agreed="Mrs Venn")).price - before == Decimal(difference)
    assert option(kit, "bolt", key).price_difference == 0


def test_what_needs_no_agreement_says_so(kit: CustomKit, belt: Conversion) -> None:
    assert option(kit, "pulley", belt.key("CP-120")).agreement == "nobody"
    assert option(kit, "pump", "own").agreement == ""


def test_stock_is_counted_in_whole_fills_and_what_is_short_has_a_day(
    kit: CustomKit, belt: Conversion
) -> None:
    Stock.objects.create(part=belt.parts["CB-30"], on_hand=13)
    supplier = Supplier.objects.create(code="quay", name="Quay Supply", lead_days=9)
    Offer.objects.create(supplier=supplier, part=belt.parts["CB-35"], price=Decimal("1.00"))
    now = timezone.now()
    shelf, ordered = options_of(kit, "bolt").options
    assert (shelf.free, shelf.ready_on) == (2, timezone.localdate(now))
    assert (ordered.free, ordered.ready_on) == (0, timezone.localdate(now) + timedelta(days=9))
    assert option(kit, "pulley", belt.key("CP-104")).ready_on is None
    assert (option(kit, "pump", "own").free, option(kit, "pump", "own").ready_on) == (None, None)


def test_the_current_and_the_default_are_marked(kit: CustomKit, belt: Conversion, counter: User) -> None:
    kit = swap(counter, kit, "pulley", belt.key("CP-120"))
    slot = options_of(kit, "pulley")
    assert slot.current == belt.key("CP-120")
    assert [o.label for o in slot.options if o.is_current] == ["Corran CP-120 pulley"]
    assert [o.label for o in slot.options if o.is_default] == ["Corran CP-104 pulley"]


def test_the_customers_own_keeps_its_sizes_in_the_list(kit: CustomKit, counter: User) -> None:
    kit = swap(counter, kit, "pump", "own", own={"boss": "79.5 mm"})
    assert option(kit, "pump", "own").verdict is Verdict.GOES_TOGETHER


def test_a_fault_elsewhere_is_not_said_of_every_option(
    kit: CustomKit, belt: Conversion, counter: User
) -> None:
    kit = swap(counter, kit, "pulley", belt.key("CP-141"))
    assert option(kit, "guard", "left-out").verdict is Verdict.GOES_TOGETHER
    assert option(kit, "spacer", belt.key("CS-22")).verdict is Verdict.GOES_TOGETHER


def queries_for(kit: CustomKit) -> int:
    with CaptureQueriesContext(connection) as asked:
        slot_options(kit, timezone.now())
    return len(asked)


def test_how_many_queries_it_takes_does_not_depend_on_the_size_of_the_kit(
    draft: Conversion, counter: User
) -> None:
    def grow(conversion: Conversion, slots: int) -> None:
        for number in range(slots):
            names = [f"CX-{number}-{rank}" for rank in range(4)]
            conversion.parts |= {name: part(name, f"extra-{number}", length="10 mm") for name in names}
            conversion.slot(f"extra-{number}", *names)

    small = open_kit(counter, draft.released().template, draft.engine)
    few = queries_for(small)
    draft.revision.__class__.objects.filter(pk=draft.revision.pk).update(state="draft", released_at=None)
    grow(draft, 8)
    big = open_kit(counter, draft.released().template, draft.engine)
    assert queries_for(big) == few <= 28
