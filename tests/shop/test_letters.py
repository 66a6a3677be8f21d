"""Letters to suppliers: written with the act, sent once whatever is repeated, and never by guess."""

from collections.abc import Callable
from datetime import timedelta
from smtplib import SMTPDataError, SMTPException, SMTPRecipientsRefused, SMTPServerDisconnected
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.utils import timezone

from inventory.acting import Conflict
from inventory.buying import remind, send, write_order
from inventory.models import PurchaseLine, PurchaseOrder, SupplierMail
from inventory.post import count_as_sent, send_again
from shop import letters, tasks
from shop.letters import send_letter
from shop.tasks import send_letters
from tests.clerks import Clerk
from tests.inventory.builders import a_part, a_supplier, an_offer

Threads = Callable[..., list[Any]]

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

State = SupplierMail.State


@pytest.fixture(autouse=True)
def mails(settings: Any) -> None:
    settings.SHOP_MAILS = True
    settings.DEFAULT_FROM_EMAIL = "Buying <buying@shop.example>"


def an_order(clerk: Clerk, *, email: str = "desk@corran.example") -> PurchaseOrder:
    supplier = a_supplier()
    supplier.email = email
    supplier.save()
    offer = an_offer(a_part("TF-1"), supplier)
    return send(clerk("buying"), write_order(clerk("buying"), supplier, {offer.part_id: 4}))


def a_letter(clerk: Clerk) -> SupplierMail:
    return an_order(clerk).mails.get()


class Killed(BaseException):
    """The worker is gone, and nothing of it runs on."""


def answering(monkeypatch: pytest.MonkeyPatch, error: BaseException, *, at: str = "send_messages") -> None:
    def answer(*_: Any, **__: Any) -> int:
        raise error

    monkeypatch.setattr(EmailBackend, at, answer)


def state_of(letter: SupplierMail) -> str:
    return SupplierMail.objects.get(pk=letter.pk).state


def test_an_order_goes_out_with_its_papers(clerk: Clerk) -> None:
    letter = a_letter(clerk)
    assert (letter.state, letter.to, letter.tries) == (State.WAITING, "desk@corran.example", 0)
    assert send_letters() == 1
    (sent,) = mail.outbox
    assert sent.to == ["desk@corran.example"] and letter.order.number in sent.subject
    assert sent.from_email == "Buying <buying@shop.example>"
    assert sent.message()["Message-ID"] == letter.message_id
    assert letter.message_id.endswith("@shop.example>")
    names = [attached[0] for attached in sent.attachments]
    assert names == [f"order-{letter.order.number}.pdf", f"order-{letter.order.number}.csv"]
    assert state_of(letter) == State.SENT


def test_it_is_sent_as_soon_as_the_act_is_through(
    clerk: Clerk, django_capture_on_commit_callbacks: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tasks.send_letter, "delay", tasks.send_letter)  # A worker that is quick.
    with django_capture_on_commit_callbacks(execute=True):
        order = an_order(clerk)
        assert not mail.outbox
    assert len(mail.outbox) == 1 and order.mails.get().state == State.SENT


def test_running_again_sends_nothing_more(clerk: Clerk) -> None:
    letter = a_letter(clerk)
    assert send_letter(letter.pk) is not None
    assert send_letter(letter.pk) is None and send_letters() == 0
    assert len(mail.outbox) == 1


def test_two_workers_at_once_send_it_once(run_in_threads: Threads, clerk: Clerk, settings: Any) -> None:
    settings.SHOP_MAILS = False  # Or it would be gone already.
    order = an_order(clerk)
    letter = SupplierMail.objects.create(
        order=order, to="desk@corran.example", subject="Order", body="Please", message_id="<1@shop.example>"
    )
    SupplierMail.objects.update(state=State.WAITING, tries=0)
    mail.outbox.clear()
    results = run_in_threads(*[lambda: send_letter(letter.pk)] * 4)
    assert not any(isinstance(result, Exception) for result in results)
    assert len(mail.outbox) == 1 and state_of(letter) == State.SENT


def test_a_worker_killed_before_the_answer_leaves_it_to_a_person(
    clerk: Clerk, monkeypatch: pytest.MonkeyPatch
) -> None:
    letter = a_letter(clerk)
    with monkeypatch.context() as patch:
        answering(patch, Killed())
        with pytest.raises(Killed):
            send_letter(letter.pk)
    assert state_of(letter) == State.SENDING
    assert send_letters() == 0 and not mail.outbox
    with pytest.raises(Conflict, match="is being sent"):
        send_again(clerk("buying"), letter)
    with time_machine.travel(timezone.now() + timedelta(minutes=6)):
        again = send_again(clerk("buying"), letter)
        assert again.state == State.WAITING and again.message_id == letter.message_id
        send_letters()
    assert [one.message()["Message-ID"] for one in mail.outbox] == [letter.message_id]
    assert SupplierMail.objects.get().tries == 2


def test_a_person_may_know_that_it_arrived(clerk: Clerk, monkeypatch: pytest.MonkeyPatch) -> None:
    letter = a_letter(clerk)
    answering(monkeypatch, SMTPServerDisconnected("gone"))
    send_letter(letter.pk)
    assert state_of(letter) == State.SENDING
    with time_machine.travel(timezone.now() + timedelta(minutes=6)):
        counted = count_as_sent(clerk("buying"), letter, "they rang")
    assert (counted.state, counted.answer) == (State.SENT, "counted as sent by clerk-buying: they rang")
    for act in (send_again, count_as_sent):
        with pytest.raises(Conflict, match="sent already"):
            act(clerk("buying"), letter)


@pytest.mark.parametrize(
    ("at", "error", "says"),
    [
        ("open", ConnectionRefusedError("nobody there"), "cannot be reached: nobody there"),
        ("send_messages", SMTPDataError(554, b"no thanks"), "no thanks"),
        ("send_messages", SMTPRecipientsRefused({"desk@corran.example": (550, b"unknown")}), "unknown"),
        ("send_messages", SMTPException("No mail server is named"), "No mail server is named"),
    ],
)
def test_what_is_refused_says_why_and_can_go_again_to_another_address(
    clerk: Clerk, monkeypatch: pytest.MonkeyPatch, at: str, error: Exception, says: str
) -> None:
    letter = a_letter(clerk)
    with monkeypatch.context() as patch:
        answering(patch, error, at=at)
        refused = send_letter(letter.pk)
    assert refused is not None and refused.state == State.FAILED and says in refused.answer
    supplier = letter.order.supplier
    supplier.email = "orders@corran.example"
    supplier.save()
    send_again(clerk("buying"), letter)
    send_letters()
    assert [one.to for one in mail.outbox] == [["orders@corran.example"]]


@pytest.mark.parametrize("error", [TimeoutError("silence"), SMTPServerDisconnected("gone")])
def test_silence_is_no_answer(clerk: Clerk, monkeypatch: pytest.MonkeyPatch, error: Exception) -> None:
    letter = a_letter(clerk)
    answering(monkeypatch, error)
    send_letter(letter.pk)
    assert state_of(letter) == State.SENDING


def test_a_late_answer_does_not_undo_what_a_person_decided(
    clerk: Clerk, monkeypatch: pytest.MonkeyPatch
) -> None:
    letter = a_letter(clerk)

    def slow(*_: Any) -> int:
        with time_machine.travel(timezone.now() + timedelta(minutes=6)):
            send_again(clerk("buying"), letter)
        return 1

    monkeypatch.setattr(EmailBackend, "send_messages", slow)
    send_letter(letter.pk)
    assert state_of(letter) == State.WAITING


def test_what_cannot_be_written_waits(clerk: Clerk, monkeypatch: pytest.MonkeyPatch) -> None:
    letter = a_letter(clerk)
    monkeypatch.setattr("shop.letters.pdf_of", lambda _order: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        send_letter(letter.pk)
    assert state_of(letter) == State.WAITING


def test_one_that_cannot_be_written_keeps_no_other_from_leaving(
    clerk: Clerk, monkeypatch: pytest.MonkeyPatch
) -> None:
    order = an_order(clerk)
    remind(clerk("buying"), list(order.lines.all()), "We have a boat waiting")
    fine, broken = order.mails.order_by("-about")
    written = letters._message
    monkeypatch.setattr(letters, "_message", lambda one: 1 / 0 if one == broken else written(one))
    assert send_letters() == 2
    assert (state_of(broken), state_of(fine)) == (State.WAITING, State.SENT)


@pytest.mark.parametrize(("email", "mails"), [("", True), ("desk@corran.example", False)])
def test_without_an_address_or_a_mail_server_it_goes_by_hand(
    clerk: Clerk, settings: Any, email: str, mails: bool
) -> None:
    settings.SHOP_MAILS = mails
    order = an_order(clerk, email=email)
    assert order.state == PurchaseOrder.State.SENT and not order.mails.exists()


def test_a_reminder_is_a_letter_that_names_what_is_late(clerk: Clerk) -> None:
    order = an_order(clerk)
    line = order.lines.get()
    PurchaseLine.objects.update(due=timezone.localdate() - timedelta(days=3))
    remind(clerk("buying"), [line], "We have a boat waiting")
    send_letters()
    asked = mail.outbox[-1]
    assert order.number in asked.subject and not asked.attachments
    assert "4 x Tarn Foundry TF-1" in asked.body and "3 days ago" in asked.body
    assert "We have a boat waiting" in asked.body
