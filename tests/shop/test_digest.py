"""The digest goes out once a day, to those whose desk it is, with what waits and who suffers."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.core import mail
from django.utils import timezone

from inventory.alerting import snooze
from inventory.models import Alert
from shop import digest, ordering
from shop.digest import send_digest
from shop.tasks import send_digest as task
from tests.clerks import Clerk
from tests.shop.small import SmallShop

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


@pytest.fixture
def buyer(clerk: Clerk, settings: Any) -> User:
    settings.SHOP_MAILS = True
    user = clerk("buying")
    user.email, user.first_name = "bridie@corran.example", "Bridie"
    user.save()
    return user


def an_alert(shop: SmallShop, **values: Any) -> Alert:
    given: dict[str, Any] = {
        "part": shop.bolt,
        "cause": Alert.Cause.BELOW_TARGET,
        "reason": "3 free & none to come",
        "quantity": 40,
        "supplier": shop.supplier,
        "order_by": timezone.localdate() + timedelta(days=2),
        "hits_on": timezone.localdate() + timedelta(days=9),
        "cost_to_wait": Decimal("4.50"),
    }
    return Alert.objects.create(**given | values)


def test_it_says_what_waits_what_it_costs_and_who_suffers(small_shop: SmallShop, buyer: User) -> None:
    order = ordering.accept(small_shop.counter, small_shop.quote(3))
    an_alert(small_shop)
    assert task() == 1
    (letter,) = mail.outbox
    assert isinstance(letter, mail.EmailMultiAlternatives)
    assert letter.to == ["bridie@corran.example"]
    text, html, kind = letter.body, str(letter.alternatives[0][0]), letter.alternatives[0][1]
    assert kind == "text/html"
    assert str(letter.subject).startswith("Shimwright: 3 alerts, 3 new, ")
    for said in ("Good morning Bridie", str(small_shop.bolt), "4.50 a day", f"{order} for Ines Halloran",
                 "Kits: Belt pump", "Order 40", "from Pell Stores by"):  # fmt: skip
        assert said in text and said in html
    assert "3 free & none" in text and "3 free &amp; none" in html
    sent = letter.message()
    assert sent["Auto-Submitted"] == "auto-generated" and sent["Message-ID"].startswith("<digest-")
    assert all(Alert.objects.values_list("mailed_at", flat=True))


def test_new_alerts_come_first_and_then_the_dearest(small_shop: SmallShop, buyer: User) -> None:
    yesterday = timezone.now() - timedelta(days=1)
    old = an_alert(small_shop, cost_to_wait=Decimal(90), mailed_at=yesterday, about="old")
    cheap = an_alert(small_shop, cost_to_wait=Decimal(1), about="cheap")
    dear = an_alert(small_shop, cost_to_wait=Decimal(2), about="dear")
    for alert in (old, cheap, dear):
        Alert.objects.filter(pk=alert.pk).update(reason=f"reason {alert.about}")
    assert send_digest(timezone.now()) == 1
    text = mail.outbox[0].body
    places = [text.index(f"reason {about}") for about in ("dear", "cheap", "old")]
    assert places == sorted(places)
    assert "3 alerts, 2 new, 93.00 EUR a day" in mail.outbox[0].subject


def test_there_is_one_a_day_and_the_next_day_another(small_shop: SmallShop, buyer: User) -> None:
    an_alert(small_shop)
    now = timezone.now()
    assert send_digest(now) == 1
    an_alert(small_shop, about="later that day")
    assert send_digest(now) == 0
    assert send_digest(now + timedelta(days=1)) == 1
    assert "2 alerts, 1 new" in mail.outbox[1].subject


def test_nothing_to_tell_is_no_letter(small_shop: SmallShop, buyer: User) -> None:
    an_alert(small_shop, cleared_at=timezone.now())
    snooze(buyer, an_alert(small_shop), timezone.localdate() + timedelta(days=3), "they are away")
    assert send_digest(timezone.now()) == 0
    assert send_digest(timezone.now() + timedelta(days=3)) == 1


def test_nobody_to_tell_or_no_way_to_tell_leaves_it_untold(
    small_shop: SmallShop, buyer: User, settings: Any
) -> None:
    an_alert(small_shop)
    settings.SHOP_MAILS = False
    assert send_digest(timezone.now()) == 0
    settings.SHOP_MAILS = True
    User.objects.update(email="")
    User.objects.filter(pk=small_shop.counter.pk).update(email="ines@corran.example")  # Sells, and no more.
    assert send_digest(timezone.now()) == 0
    assert mail.outbox == [] and Alert.objects.get().mailed_at is None


def test_a_mail_server_that_is_away_leaves_the_day_its_digest(
    small_shop: SmallShop, buyer: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    an_alert(small_shop)

    class Away:
        def __enter__(self) -> None:
            raise ConnectionRefusedError

        def __exit__(self, *_: object) -> None: ...

    with monkeypatch.context() as patched:
        patched.setattr(digest, "get_connection", Away)
        with pytest.raises(ConnectionRefusedError):
            send_digest(timezone.now())
    assert send_digest(timezone.now()) == 1


def test_an_address_that_is_refused_keeps_it_from_nobody_else(
    small_shop: SmallShop, buyer: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    an_alert(small_shop)
    boss = User.objects.create_superuser("boss", "boss@corran.example")
    sent = mail.EmailMultiAlternatives.send

    def send(letter: mail.EmailMultiAlternatives, **more: Any) -> int:
        if letter.to == [boss.email]:
            raise OSError("refused")
        return sent(letter, **more)

    monkeypatch.setattr(mail.EmailMultiAlternatives, "send", send)
    assert send_digest(timezone.now()) == 1
    assert [letter.to for letter in mail.outbox] == [[buyer.email]]


def test_more_than_can_be_read_is_counted(
    small_shop: SmallShop, buyer: User, monkeypatch: pytest.MonkeyPatch, settings: Any
) -> None:
    monkeypatch.setattr(digest, "TOLD", 2)
    settings.SHOP_ADDRESS = "https://shop.corran.example"
    for about in "abc":
        an_alert(small_shop, about=about)
    assert send_digest(timezone.now()) == 1
    assert "And 1 more, at the buying desk." in mail.outbox[0].body
    assert "https://shop.corran.example/buying/" in mail.outbox[0].body


@pytest.mark.django_db(transaction=True)
def test_two_tasks_at_once_send_one(
    run_in_threads: Callable[..., list[Any]], small_shop: SmallShop, buyer: User
) -> None:
    for about in "abc":
        an_alert(small_shop, about=about)
    assert sorted(run_in_threads(task, task, task)) == [0, 0, 1]
    assert len(mail.outbox) == 1 and "3 alerts" in mail.outbox[0].subject
