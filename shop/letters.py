"""Hands letters to suppliers over to the mail server, each at most once."""

from __future__ import annotations

from contextlib import suppress
from smtplib import SMTPException, SMTPServerDisconnected

from django.core.mail import EmailMessage, get_connection
from django.utils import timezone

from inventory.models import SupplierMail
from inventory.post import answered, claim

from .documents.purchase_csv import csv_of
from .documents.purchase_pdf import pdf_of

State = SupplierMail.State


def send_letter(pk: int) -> SupplierMail | None:
    """Send one letter if it waits; returns it as it is then, None where it does not wait.

    Written, and the papers made, before it is taken up: what fails until then leaves it waiting. Once the
    server may have it, only its answer tells: without one the letter stays as being sent, for a person.
    """
    waiting = (
        SupplierMail.objects.select_related("order__supplier").filter(pk=pk, state=State.WAITING).first()
    )
    if waiting is None:
        return None
    message = _message(waiting)
    mail = claim(pk, timezone.now())
    if mail is None:
        return None  # Somebody else took it up meanwhile.
    message.to = [mail.to]
    _hand_over(mail, message)
    mail.refresh_from_db()
    return mail


def _hand_over(mail: SupplierMail, message: EmailMessage) -> None:
    connection = get_connection()
    try:
        connection.open()
    except OSError as error:
        answered(mail, State.FAILED, f"The mail server cannot be reached: {error}")
        return
    try:
        connection.send_messages([message])
    except SMTPServerDisconnected:
        pass  # It may have it or not.
    except SMTPException as error:
        answered(mail, State.FAILED, f"The mail server refused it: {error}")
    except OSError:
        pass  # Silence; what the server says is an OSError of its own kind.
    else:
        answered(mail, State.SENT)
    with suppress(OSError):
        connection.close()


def _message(mail: SupplierMail) -> EmailMessage:
    order = mail.order
    message = EmailMessage(
        subject=mail.subject, body=mail.body, to=[mail.to], headers={"Message-ID": mail.message_id}
    )
    if mail.about == SupplierMail.About.ORDER:
        message.attach(f"order-{order.number}.pdf", pdf_of(order), "application/pdf")
        message.attach(f"order-{order.number}.csv", csv_of(order), "text/csv")
    return message
