"""The made-up customers."""

from __future__ import annotations

from shop.models import Customer

from .reading import read_yaml


def load_customers() -> None:
    """Everything of customers.yaml."""
    for entry in read_yaml("customers.yaml").entries("customers", named_by="name"):
        entry.only("name", "email", "phone", "address")
        Customer.objects.create(
            name=entry.text("name"),
            email=entry.text("email", ""),
            phone=entry.text("phone", ""),
            address=entry.text("address", ""),
        )
