"""What sends letters where no mail server is named: nothing does, and whoever tries is told what to set."""

from collections.abc import Sequence
from smtplib import SMTPException

from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend


class EmailBackend(BaseEmailBackend):
    """Refuses as a mail server that cannot be reached does, so that nothing counts as sent."""

    def send_messages(self, _messages: Sequence[EmailMessage]) -> int:
        raise SMTPException("No mail server is named: set SHIMWRIGHT_MAIL_URL.")
