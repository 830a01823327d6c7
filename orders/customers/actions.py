"""What the counter does to the book of customers."""

from datetime import datetime

from orders.customers.folding import fold
from orders.customers.models import Customer


def add_customer(
    *, name: str, kind: str, at: datetime, phone: str = "", email: str = "", notes: str = ""
) -> Customer:
    """A new customer. `phone` is E.164. Whether the person is known already is asked before."""
    customer = Customer(added_at=at)
    return _keep(customer, name=name, kind=kind, phone=phone, email=email, notes=notes)


def change_customer(
    *, customer: Customer, name: str, kind: str, phone: str = "", email: str = "", notes: str = ""
) -> Customer:
    return _keep(customer, name=name, kind=kind, phone=phone, email=email, notes=notes)


def _keep(customer: Customer, **values) -> Customer:
    for name, value in values.items():
        setattr(customer, name, value)
    customer.name = " ".join(customer.name.split())
    customer.email = customer.email.lower()
    customer.search = fold(f"{customer.name} {customer.phone} {customer.email}")[:300]
    customer.full_clean()
    customer.save()
    return customer
