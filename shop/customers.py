"""Customers: who is quoted and shipped to."""

from django.contrib.auth.models import User

from inventory.acting import act

from .models import Customer


@act("shop.sell")
def add_customer(user: User, name: str, *, email: str = "", phone: str = "", address: str = "") -> Customer:
    """Write a customer down; nothing but the name has to be known."""
    return Customer.objects.create(name=name, email=email, phone=phone, address=address)
