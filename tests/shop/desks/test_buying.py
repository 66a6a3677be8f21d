"""The buying desk in the morning: what needs somebody, dearest to wait first, and what is left for later."""

from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import Group
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory.buying import look_again
from inventory.models import (
    Alert,
    Target,
)
from shop import ordering
from shop.desks.buying.needs import SHOWN
from tests.clerks import Clerk
from tests.shop.api.stages import Stages
from tests.shop.desks.buying_desk import (
    DESK,
    desk,
    in_days,
    kept,
)
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import said
from tests.shop.small import SmallShop

IN_PLACE = {"HX-Request": "true", "HX-Target": "needs"}


@pytest.fixture
def alert(small_shop: SmallShop) -> Alert:
    """Ten bolts lie here, and twenty should."""
    Target.objects.create(part=small_shop.bolt, reorder_at=20, up_to=40, why="Every kit takes four.")
    (raised,) = look_again([small_shop.bolt.pk], timezone.now())
    return raised


def snoozing(alert: Alert, /, **typed: str) -> dict[str, str]:
    return {
        "do": "snooze",
        "alert": str(alert.pk),
        "until": in_days(7),
        "reason": "more come Friday",
        **typed,
    }


def test_an_alert_says_what_to_order_by_when_and_why(at: At, alert: Alert, small_shop: SmallShop) -> None:
    page = desk(at(DESK))
    for word in (small_shop.bolt.number, f"Order {alert.quantity} from Pell Stores", alert.reason):
        assert word in page
    assert "Below target" in page


def test_it_says_who_suffers(at: At, stages: Stages) -> None:
    order = stages.waiting()
    page = desk(at(DESK))
    assert "An order waits" in page and f"order {order.number} of Ines Halloran" in page


def test_the_dearest_to_wait_comes_first_with_what_a_day_costs(
    at: At, alert: Alert, small_shop: SmallShop
) -> None:
    Target.objects.create(part=small_shop.pulley, reorder_at=5, up_to=9, why="One a kit.")
    look_again([small_shop.pulley.pk], timezone.now())
    Alert.objects.filter(part=small_shop.bolt).update(cost_to_wait=Decimal("3.20"))
    Alert.objects.filter(part=small_shop.pulley).update(cost_to_wait=Decimal("41.00"))
    page = desk(at(DESK))
    assert "41.00 EUR a day" in page and "3.20 EUR a day" in page
    assert page.index("41.00 EUR a day") < page.index("3.20 EUR a day")


def test_one_cause_can_be_looked_at_alone(at: At, stages: Stages, alert: Alert) -> None:
    stages.waiting()
    both = desk(at(DESK))
    assert "below target 1" in both and "an order waits 2" in both
    alone = desk(at(DESK), "?cause=below+target")
    assert "Below target." in alone and "An order waits." not in alone


def test_a_cause_that_is_none_shows_all(at: At, alert: Alert) -> None:
    assert "Below target." in desk(at(DESK), "?cause=%00")


def test_what_only_lies_here_waits_for_a_quiet_hour(at: At, alert: Alert) -> None:
    Alert.objects.update(cause=Alert.Cause.DEAD_STOCK, quantity=0)
    page = desk(at(DESK))
    assert "Nothing has to be ordered or chased" in page and "Order no more of it" not in page
    assert "Order no more of it" in desk(at(DESK), "?cause=dead+stock")


def test_a_long_list_is_cut_and_shown_whole_when_asked(at: At, alert: Alert) -> None:
    Alert.objects.bulk_create(
        Alert(
            part=alert.part,
            cause=Alert.Cause.LATE_LINE,
            about=str(nth),
            reason=f"Reason {nth}.",
            quantity=0,
            order_by=alert.order_by,
        )
        for nth in range(SHOWN + 3)
    )
    cut, whole = desk(at(DESK)), desk(at(DESK), "?all=1")
    assert f"Show all {SHOWN + 4}" in cut and cut.count("Leave it for now") == SHOWN
    assert "Show all" not in whole and whole.count("Leave it for now") == SHOWN + 4


def test_a_late_delivery_says_whom_to_ask(at: At, stages: Stages) -> None:
    line = stages.sent().lines.get()
    Alert.objects.create(
        part=line.part,
        cause=Alert.Cause.LATE_LINE,
        about=str(line.pk),
        reason="Three days late.",
        quantity=0,
        supplier=line.order.supplier,
        purchase_line=line,
        order_by=timezone.localdate(),
    )
    page = desk(at(DESK), "?cause=late+line")
    assert f"Ask Pell Stores for {line.order.number}" in page and "Three days late." in page


def test_what_nobody_offers_is_said(at: At, alert: Alert) -> None:
    Alert.objects.update(supplier=None)
    assert "Nobody offers it" in desk(at(DESK))


def test_nothing_to_do_is_said(at: At, small_shop: SmallShop) -> None:
    assert "Nothing needs you today" in desk(at(DESK))


def test_it_is_quiet_until_its_day_and_can_be_brought_back(at: At, alert: Alert) -> None:
    browser = at(DESK)
    left = said(browser.post(reverse("buying"), snoozing(alert), follow=True))
    assert "1 left for later" in left and "more come Friday" in left and "Below target." not in left
    back = said(browser.post(reverse("buying"), {"do": "wake", "alert": alert.pk}, follow=True))
    assert "left for later" not in back and "Below target." in back


def test_in_place_only_the_alerts_are_sent(at: At, alert: Alert) -> None:
    browser = at(DESK)
    answer = browser.post(reverse("buying"), snoozing(alert), headers=IN_PLACE, follow=True)
    page = answer.content.decode()
    assert "<html" not in page and "1 left for later" in page
    assert "autofocus" in page and "HX-Target" in answer["Vary"]


@pytest.mark.parametrize(
    ("typed", "refusal"),
    [
        ({"reason": ""}, "Say why"),
        ({"reason": "r" * 201}, "at most 200"),
        ({"until": ""}, "is missing"),
        ({"until": "soon"}, "year-month-day"),
        ({"until": in_days(-1)}, "after today"),
    ],
)
@pytest.mark.parametrize("headers", [{}, IN_PLACE])
def test_a_refusal_keeps_what_was_typed(
    at: At, alert: Alert, typed: dict[str, str], refusal: str, headers: dict[str, str]
) -> None:
    form = snoozing(alert, **typed)
    answer = at(DESK).post(reverse("buying"), form, headers=headers)
    assert answer.status_code == 422 and refusal in said(answer)
    assert (kept(answer)["until"], kept(answer)["reason"]) == (form["until"], form["reason"])
    assert '<details class="otherwise" open>' in answer.content.decode()
    assert Alert.objects.get().snoozed_until is None


def test_a_refusal_in_place_stands_in_its_form_or_above_if_that_is_gone(at: At, alert: Alert) -> None:
    browser = at(DESK)
    refused = browser.post(reverse("buying"), snoozing(alert, reason=""), headers=IN_PLACE).content.decode()
    above, _, listed = refused.partition('<ol class="needs">')
    assert 'id="refusal"' not in above and listed.count('id="refusal"') == 1
    Alert.objects.update(cleared_at=timezone.now())
    over = browser.post(reverse("buying"), snoozing(alert), headers=IN_PLACE)
    assert over.status_code == 409 and over.content.decode().count('id="refusal"') == 1


def test_it_goes_on_where_it_was(at: At, alert: Alert) -> None:
    answer = at(DESK).post(reverse("buying"), snoozing(alert, cause="below target", all="1"))
    assert answer["Location"] == reverse("buying") + "?cause=below+target&all=1#needs"


def test_an_alert_that_is_not_there_is_not_found(at: At, alert: Alert) -> None:
    assert at(DESK).post(reverse("buying"), snoozing(alert, alert="999999")).status_code == 404


def test_orders_that_wait_are_shown_to_buying(at: At, small_shop: SmallShop) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote(3))
    assert order.number in desk(at(DESK))


def test_whoever_only_handles_alerts_sees_no_buttons_to_order(
    at: At, alert: Alert, clerk: Clerk, small_shop: SmallShop
) -> None:
    group = Group.objects.create(name="watchers")
    group.permissions.add(*Group.objects.get(name="buying").permissions.filter(codename="handle_alerts"))
    user = clerk("catalogue")
    user.groups.set([group])
    browser = Client()
    browser.force_login(user)
    page = desk(browser)
    assert "Leave it for now" in page and "Draft the ticked" not in page


def test_the_desk_asks_no_more_for_more_alerts(
    at: At, alert: Alert, small_shop: SmallShop, django_assert_max_num_queries: Any
) -> None:
    like = small_shop.bolt
    for nth in range(SHOWN - 2):
        part = type(like).objects.create(
            maker=like.maker, number=f"OR-8{nth}X", name="bolt", category=like.category, price=1
        )
        small_shop.supplier.offers.create(part=part, price=1)
        Target.objects.create(part=part, reorder_at=2, up_to=4, why="Kits take it.")
        look_again([part.pk], timezone.now())
    browser = at(DESK)
    with django_assert_max_num_queries(60):
        browser.get(reverse("buying"))
