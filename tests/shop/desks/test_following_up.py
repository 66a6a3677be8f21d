"""What the desk follows up: late deliveries, differences, and letters that hang."""

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.buying import look_again
from inventory.differences import report
from inventory.models import (
    Alert,
    Difference,
    Reminder,
    SupplierMail,
    Target,
)
from tests.shop.api.stages import Stages
from tests.shop.desks.buying_desk import (
    DESK,
    desk,
    hanging,
    late,
)
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import read, said
from tests.shop.small import SmallShop


@pytest.fixture
def alert(small_shop: SmallShop) -> Alert:
    """Ten bolts lie here, and twenty should."""
    Target.objects.create(part=small_shop.bolt, reorder_at=20, up_to=40, why="Every kit takes four.")
    (raised,) = look_again([small_shop.bolt.pk], timezone.now())
    return raised


def test_late_lines_come_first_and_are_asked_for(at: At, stages: Stages) -> None:
    line = stages.sent().lines.get()
    late(line)
    browser = at(DESK)
    assert "4 days" in desk(browser) and "1 supplier to chase" in desk(browser)
    form = {"do": "remind", "late": str(line.pk), "note": "rang Mr Pell"}
    page = said(browser.post(reverse("buying"), form, follow=True))
    assert Reminder.objects.get().note == "rang Mr Pell"
    assert "Asked for 1 line." in page and "clerk-buying: rang Mr Pell" in page


def test_a_reminder_without_words_is_refused_and_the_ticks_stay(at: At, stages: Stages) -> None:
    line = stages.sent().lines.get()
    late(line)
    answer = at(DESK).post(reverse("buying"), {"do": "remind", "late": str(line.pk), "note": " "})
    assert answer.status_code == 422
    assert f'id="late-{line.pk}" value="{line.pk}" checked' in answer.content.decode()


def test_a_difference_is_settled(at: At, stages: Stages) -> None:
    line = stages.received().order.lines.get()
    difference = report(stages.clerk("floor"), line, 2, "long bolts")
    browser = at(DESK)
    assert "1 difference to settle" in desk(browser)
    form = {"do": "settle", "difference": str(difference.pk), "how": ""}
    refused = browser.post(reverse("buying"), form)
    assert refused.status_code == 422 and "Say how it was settled" in said(refused)
    page = said(browser.post(reverse("buying"), form | {"how": "sent back"}, follow=True))
    assert "Settled: 2 x" in page and "to settle" not in page
    assert Difference.objects.get().settled_how == "sent back"


@pytest.mark.parametrize(
    ("state", "word"), [("failed", "550 no such box"), ("sending", "nobody knows whether it left")]
)
def test_a_letter_that_hangs_says_what_to_do(at: At, stages: Stages, state: str, word: str) -> None:
    letter = hanging(stages.sent(), state)
    browser = at(DESK)
    assert word in desk(browser) and "1 letter to see after" in desk(browser)
    form = {"do": "count_as_sent", "letter": str(letter.pk), "how_known": "rang them"}
    page = said(browser.post(reverse("buying"), form, follow=True))
    letter.refresh_from_db()
    assert letter.state == "sent" and "counts as sent" in page and "to see after" not in page


def test_a_letter_that_was_refused_is_sent_again(at: At, stages: Stages) -> None:
    letter = hanging(stages.sent(), "failed")
    page = said(at(DESK).post(reverse("buying"), {"do": "send_again", "letter": letter.pk}, follow=True))
    letter.refresh_from_db()
    assert letter.state != "failed" and "leaves once more" in page


def test_an_order_is_found_by_number_supplier_and_part(at: At, stages: Stages) -> None:
    order, browser = stages.sent(), at(DESK)
    for words in (order.number, f"b{order.pk}", "pell", "or-40"):
        assert order.number in desk(browser, f"?find={words}").partition("Find an order")[2]
    for words in ("B99999", "Vantry", "or-7p", "%00", "B" + "9" * 30):
        assert "No order answers to that" in desk(browser, f"?find={words}") or words == "%00"


def test_a_letter_on_its_way_is_not_said_to_hang(at: At, stages: Stages) -> None:
    letter = hanging(stages.sent(), "sending")
    SupplierMail.objects.filter(pk=letter.pk).update(tried_at=timezone.now())
    assert "Letters that hang" not in desk(at(DESK))


def test_the_desk_is_whole_without_scripts_and_reads_well(at: At, stages: Stages, alert: Alert) -> None:
    line = stages.sent().lines.get()
    late(line)
    stages.draft()
    report(stages.clerk("floor"), line, 2, "long bolts")
    hanging(line.order, "failed")
    page = read(at(DESK).get(reverse("buying")))
    assert page.faults == []
