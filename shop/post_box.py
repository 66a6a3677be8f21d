"""Sees to it that a letter to a supplier is sent once the act that wrote it is through."""

from typing import Any

from django.db import transaction

from inventory.models import SupplierMail


def letter_written(instance: SupplierMail, **_: Any) -> None:
    """Connected to post_save by ShopConfig. What fails is logged: the letter waits for the next round."""
    from .tasks import send_letter

    if instance.state == SupplierMail.State.WAITING:
        transaction.on_commit(lambda: send_letter.delay(instance.pk), robust=True)
