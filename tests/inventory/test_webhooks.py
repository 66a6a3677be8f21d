"""Other systems hear of alerts: signed, once, and again until they take it."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from typing import Any

import pytest
import standardwebhooks
from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from inventory.alerting import look_again, snooze, wake
from inventory.models import Alert, Part, Target, Webhook, WebhookMessage
from inventory.tasks import deliver_webhooks
from inventory.webhooks import RAISED, deliver_due, new_secret, tell
from inventory.webhooks.delivering import FIRST_AGAIN, LONGEST_APART, MOST_TRIES, again_after
from inventory.webhooks.posting import Refused, check_address, is_outside
from tests.clerks import Clerk
from tests.inventory.builders import a_part, an_offer, put, today
from tests.inventory.webhooks import Listener, listening

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

State = WebhookMessage.State


@pytest.fixture
def listener(settings: Any) -> Iterator[Listener]:
    settings.SHOP_WEBHOOKS_INSIDE = True
    with listening() as one:
        yield one


def short() -> Part:
    part = a_part()
    an_offer(part)
    Target.objects.create(part=part, reorder_at=6, up_to=18, why="sells steadily")
    return part


def later(tries: int = 1) -> datetime:
    return timezone.now() + 2 * LONGEST_APART * tries


def test_an_alert_is_told_as_it_is_raised_changed_and_cleared(listener: Listener) -> None:
    webhook, ring = listener.webhook(), short()
    (alert,) = look_again([ring.pk], timezone.now())
    assert look_again([ring.pk], timezone.now()) == [alert]
    put(ring, 2)
    look_again([ring.pk], timezone.now())
    put(ring, 9)
    look_again([ring.pk], timezone.now())
    assert deliver_webhooks() == 3
    bodies = listener.verified(webhook)
    assert [body["type"] for body in bodies] == ["alert.raised", "alert.changed", "alert.cleared"]
    raised, changed, cleared = (body["data"] for body in bodies)
    assert raised["part"] == {
        "id": ring.pk,
        "maker": "tarn-foundry",
        "number": ring.number,
        "name": ring.name,
    }
    assert (raised["cause"], raised["quantity"], raised["supplier"]) == ("below target", 18, "corran-supply")
    assert (raised["order_by"], raised["cost_to_wait"]) == (today().isoformat(), "0.00")
    assert changed["quantity"] == 16 and changed["cleared_at"] is None
    assert datetime.fromisoformat(cleared["cleared_at"]) == Alert.objects.get().cleared_at
    assert len(set(listener.names)) == 3
    assert deliver_webhooks() == 0 and len(listener.heard) == 3


def test_leaving_an_alert_until_a_day_is_told_too(listener: Listener, clerk: Clerk) -> None:
    (alert,) = look_again([short().pk], timezone.now())
    webhook = listener.webhook()
    snooze(clerk("buying"), alert, today() + timedelta(days=2), "they are away")
    wake(clerk("buying"), alert)
    wake(clerk("buying"), alert)
    deliver_due()
    until = [body["data"]["snoozed_until"] for body in listener.verified(webhook)]
    assert until == [(today() + timedelta(days=2)).isoformat(), None]


def test_the_same_told_again_is_told_once(listener: Listener) -> None:
    listener.webhook()
    (alert,) = look_again([short().pk], timezone.now())
    tell([(RAISED, alert.pk), (RAISED, alert.pk)], timezone.now())
    assert WebhookMessage.objects.count() == 1


def test_what_is_not_committed_is_never_told(listener: Listener) -> None:
    listener.webhook()
    with transaction.atomic():
        look_again([short().pk], timezone.now())
        transaction.set_rollback(True)
    assert deliver_due() == 0 and listener.heard == []


def test_one_that_is_not_taken_is_tried_again_under_the_same_name_and_delivered_once(
    listener: Listener,
) -> None:
    webhook = listener.webhook()
    look_again([short().pk], timezone.now())
    listener.answers = [500, 302, 200]
    listener.headers = {"Location": listener.url}
    assert deliver_due() == 0
    message = WebhookMessage.objects.get()
    assert (message.state, message.tries, message.answer) == (State.DUE, 1, "500 Internal Server Error")
    assert deliver_due() == 0 and message.tries == 1, "not before its time"
    assert deliver_due(later()) == 0, "a redirect is not followed"
    assert deliver_due(later(2)) == 1
    assert deliver_due(later(3)) == 0
    message.refresh_from_db()
    assert (message.state, message.tries, message.answer) == (State.DELIVERED, 3, "200 OK")
    assert listener.names == [message.name] * 3
    assert len({body["data"]["id"] for body in listener.verified(webhook)}) == 1


def test_a_stranger_who_changes_a_byte_is_found_out(listener: Listener) -> None:
    webhook = listener.webhook()
    look_again([short().pk], timezone.now())
    deliver_due()
    ((headers, body),) = listener.heard
    with pytest.raises(standardwebhooks.WebhookVerificationError):
        standardwebhooks.Webhook(webhook.secret).verify(
            body.replace(b'"quantity":18', b'"quantity":99'), headers
        )
    with pytest.raises(standardwebhooks.WebhookVerificationError):
        standardwebhooks.Webhook(new_secret()).verify(body, headers)


def test_one_that_is_never_taken_is_given_up(listener: Listener) -> None:
    listener.webhook()
    look_again([short().pk], timezone.now())
    listener.answers = [503]
    for tries in range(MOST_TRIES + 3):
        deliver_due(later(tries))
    message = WebhookMessage.objects.get()
    assert (message.state, message.tries) == (State.GIVEN_UP, MOST_TRIES) and len(
        listener.heard
    ) == MOST_TRIES


def test_gone_means_for_good(listener: Listener) -> None:
    webhook = listener.webhook()
    look_again([short().pk, short().pk], timezone.now())
    listener.answers = [410]
    deliver_due()
    webhook.refresh_from_db()
    assert not webhook.active
    assert set(WebhookMessage.objects.values_list("state", flat=True)) == {State.GIVEN_UP}
    look_again([short().pk], timezone.now())
    assert len(listener.heard) == 1 and WebhookMessage.objects.count() == 2


def test_one_that_is_away_keeps_nothing_from_others(listener: Listener) -> None:
    Webhook.objects.create(url="http://127.0.0.1:9/nobody", secret=new_secret())
    listener.webhook()
    look_again([short().pk, short().pk], timezone.now())
    assert deliver_due() == 2
    waits = WebhookMessage.objects.filter(state=State.DUE).order_by("pk")
    assert [message.tries for message in waits] == [1, 0]
    assert waits[0].answer.startswith("ConnectionError")


def test_one_whose_secret_is_no_secret_keeps_nothing_from_others(listener: Listener) -> None:
    Webhook.objects.create(url="http://127.0.0.1:9/nobody", secret="whsec_")
    listener.webhook()
    look_again([short().pk], timezone.now())
    assert deliver_due() == 1
    assert "secret" in WebhookMessage.objects.get(state=State.DUE).answer


def test_an_answer_that_no_database_takes_is_an_answer(listener: Listener) -> None:
    listener.webhook()
    look_again([short().pk], timezone.now())
    listener.answers, listener.reason = [500], "lost\0there"
    assert deliver_due() == 0
    assert WebhookMessage.objects.get().answer == "500 lostthere"


def test_nothing_is_sent_into_our_own_network_unless_the_shop_says_so(
    listener: Listener, settings: Any
) -> None:
    settings.SHOP_WEBHOOKS_INSIDE = False
    listener.webhook()
    Webhook.objects.create(url=listener.url.replace("127.0.0.1", "localhost"), secret=new_secret())
    look_again([short().pk], timezone.now())
    assert deliver_due() == 0 and listener.heard == []
    for message in WebhookMessage.objects.all():
        assert "SHIMWRIGHT_WEBHOOKS_INSIDE" in message.answer


@pytest.mark.parametrize(
    ("address", "outside"),
    [
        ("93.184.215.14", True),
        ("2606:2800:21f:cb07:6820:80da:af6b:8b2c", True),
        *((inside, False) for inside in ("127.0.0.1", "10.1.2.3", "172.16.0.9", "192.168.7.7", "0.0.0.0")),  # noqa: S104
        *((inside, False) for inside in ("169.254.169.254", "100.64.0.1", "224.0.0.5", "240.0.0.1")),
        *((inside, False) for inside in ("::1", "::", "fe80::1%eth0", "fd00::2", "ff02::1")),
        *((inside, False) for inside in ("::ffff:10.0.0.1", "64:ff9b::7f00:1", "2002:7f00:1::")),
        ("64:ff9b::5db8:d70e", True),
    ],
)
def test_an_address_inside_is_known_however_it_is_written(address: str, outside: bool) -> None:
    assert is_outside(address) is outside


@pytest.mark.parametrize("url", ["ftp://a.example", "file:///etc/passwd", "http://", "https://a:b@c.example"])
def test_only_the_web_is_written_to(url: str) -> None:
    with pytest.raises(Refused):
        check_address(url)


def test_tries_come_at_growing_distances_that_differ() -> None:
    for tries in range(1, MOST_TRIES + 1):
        distances = {again_after(tries) for _ in range(50)}
        longest = min(FIRST_AGAIN * 4 ** (tries - 1), LONGEST_APART)
        assert len(distances) > 1
        assert longest * 0.75 <= min(distances) <= max(distances) <= longest * 1.25


@pytest.mark.django_db(transaction=True)
def test_two_workers_deliver_each_message_once(
    listener: Listener, run_in_threads: Callable[..., list[Any]], clerk: Clerk
) -> None:
    buyer: User = clerk("buying")
    parts = [short() for _ in range(12)]
    look_again([part.pk for part in parts], timezone.now())  # Nobody listens yet.
    listener.webhook()
    for alert in Alert.objects.all():
        with transaction.atomic():
            snooze(buyer, alert, today() + timedelta(days=1), "tomorrow")
            transaction.get_connection().run_on_commit = []  # No worker was there at once.
    delivered = run_in_threads(deliver_due, deliver_due, deliver_due)
    assert sum(delivered) == 12 and len(listener.heard) == len(set(listener.names)) == 12
