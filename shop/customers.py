"""Act of the counter on customers: write down who is asking."""

from django.contrib.auth.models import User
from django.core.exceptions import ValidationError

from inventory.acting import ActError, act

from .models import Customer


@act("shop.sell")
def add_customer(
    user: User,  # noqa: ARG001 - the audit names who acts.
    name: str,
    *,
    email: str = "",
    phone: str = "",
    address: str = "",
) -> Customer:
    """Write a customer down. Nothing but the name has to be known; an e-mail has to look like one."""
    customer = Customer(name=name.strip(), email=email.strip(), phone=phone.strip(), address=address.strip())
    try:
        customer.full_clean()
    except ValidationError as error:
        wrong = {field: " ".join(messages) for field, messages in error.message_dict.items()}
        said = " ".join(f"{field}: {message}" for field, message in wrong.items())
        raise ActError(
            f"The customer cannot be written down. {said}", code="bad-customer", fields=wrong
        ) from error
    customer.save()
    return customer
