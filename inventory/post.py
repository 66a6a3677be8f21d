"""Letters to suppliers: written in the transaction that they are about, and sent at most once.

A letter waits; whoever takes it up writes first that it is being sent, and only then hands it over. What
the mail server answers is written down. A sender that dies in between leaves it as being sent: nobody
knows whether it left, so nothing sends it again by itself, and a person decides.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from email.utils import make_msgid, parseaddr

from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import F
from django.utils import timezone

from .acting import ActError, Conflict, act
from .models import PurchaseLine, PurchaseOrder, SupplierMail

# The mail server has answered or given up by then; who is silent for longer is dead.
PATIENCE = timedelta(minutes=5)


def write_order_letter(order: PurchaseOrder) -> SupplierMail | None:
    """The letter that carries the order; None where it has to go by hand."""
    body = (
        f"Dear {order.supplier},\n\nplease deliver what is on our order {order}, which comes with this "
        "letter as a PDF and, for your system, as CSV. Tell us if a date or a price is otherwise.\n\n"
        f"{settings.SHOP_NAME}\n"
    )
    return _write(order, SupplierMail.About.ORDER, f"Order {order} from {settings.SHOP_NAME}", body)


def write_reminder_letter(
    order: PurchaseOrder, lines: Sequence[PurchaseLine], note: str, now: datetime
) -> SupplierMail | None:
    """The letter that asks where these lines of the order stay."""
    today = timezone.localdate(now)
    rows = "\n".join(
        f"- {line.quantity - line.received} x {line.part}: due {line.due:%-d %b %Y}, "
        f"{(today - line.due).days} days ago"
        if line.due < today
        else f"- {line.quantity - line.received} x {line.part}: due {line.due:%-d %b %Y}"
        for line in lines
    )
    body = (
        f"Dear {order.supplier},\n\nof our order {order} we still wait for:\n\n{rows}\n\n{note}\n\n"
        f"Please name the day on which it comes.\n\n{settings.SHOP_NAME}\n"
    )
    return _write(order, SupplierMail.About.REMINDER, f"Where is order {order}?", body)


def _write(order: PurchaseOrder, about: SupplierMail.About, subject: str, body: str) -> SupplierMail | None:
    if not order.supplier.email or not settings.SHOP_MAILS:
        return None
    domain = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2] or "localhost"
    return SupplierMail.objects.create(
        order=order,
        about=about,
        to=order.supplier.email,
        subject=subject[:200],
        body=body,
        message_id=make_msgid(idstring=f"order-{order.pk}", domain=domain)[:120],
    )


def claim(pk: int, now: datetime) -> SupplierMail | None:
    """Take a waiting letter up: once this returns it, it is written that it is being sent. Else None."""
    with transaction.atomic(durable=True):
        waiting = SupplierMail.objects.filter(pk=pk, state=SupplierMail.State.WAITING)
        taken = waiting.update(
            state=SupplierMail.State.SENDING, tried_at=now, tries=F("tries") + 1, answer=""
        )
    return SupplierMail.objects.select_related("order__supplier").get(pk=pk) if taken else None


def answered(mail: SupplierMail, state: SupplierMail.State, answer: str = "") -> None:
    """What came of this try. Nothing, if a person has decided about the letter meanwhile."""
    mine = SupplierMail.objects.filter(pk=mail.pk, state=SupplierMail.State.SENDING, tries=mail.tries)
    mine.update(state=state, answer=answer[:200])


@act("inventory.buy")
def send_again(_user: User, mail: SupplierMail) -> SupplierMail:
    """Let a letter leave that was refused, or of which nobody knows: to the supplier's address of today.

    It keeps its Message-ID. Conflict for one that was sent, waits already, or is being sent this minute.
    """
    mail = _undecided(mail)
    mail.to = mail.order.supplier.email or mail.to
    mail.state = SupplierMail.State.WAITING
    mail.save(update_fields=["to", "state"])
    return mail


@act("inventory.buy")
def count_as_sent(user: User, mail: SupplierMail, how: str = "") -> SupplierMail:
    """The supplier has it, as somebody found out or saw to: nothing is sent any more."""
    mail = _undecided(mail)
    mail.state = SupplierMail.State.SENT
    mail.answer = f"counted as sent by {user.get_username()}{f': {how.strip()}' if how.strip() else ''}"[:200]
    mail.save(update_fields=["state", "answer"])
    return mail


def _undecided(mail: SupplierMail) -> SupplierMail:
    rows = SupplierMail.objects.select_for_update(of=("self",)).select_related("order__supplier")
    mail = rows.get(pk=mail.pk)
    if mail.state == SupplierMail.State.SENT:
        raise Conflict(f"The letter about {mail.order} was sent already.")
    if mail.state == SupplierMail.State.WAITING:
        raise Conflict(f"The letter about {mail.order} waits to be sent already.")
    assert mail.tried_at is not None  # A constraint: what was tried has a time.
    if mail.state == SupplierMail.State.SENDING and timezone.now() < mail.tried_at + PATIENCE:
        raise Conflict(
            f"The letter about {mail.order} is being sent: look again in {PATIENCE.seconds // 60} minutes."
        )
    if not mail.to:
        raise ActError(f"{mail.order.supplier} has no address: add it first.", code="no-address")
    return mail
