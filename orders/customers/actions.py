"""What the counter does to the book of customers."""

from datetime import datetime

from django.db import transaction

from orders.customers.folding import fold
from orders.customers.models import RIDER_FIELDS, Customer, RiderProfile


def add_customer(
    *,
    name: str,
    kind: str,
    at: datetime,
    phone: str = "",
    email: str = "",
    notes: str = "",
    length_unit: str = "",
) -> Customer:
    """A new customer. `phone` is E.164, or as typed where nobody can check it. Whether the person
    is known already is asked before."""
    customer = Customer(added_at=at)
    return _keep(
        customer,
        name=name,
        kind=kind,
        phone=phone,
        email=email,
        notes=notes,
        length_unit=length_unit,
    )


def change_customer(
    *,
    customer: Customer,
    name: str,
    kind: str,
    phone: str = "",
    email: str = "",
    notes: str = "",
    length_unit: str = "",
) -> Customer:
    return _keep(
        customer,
        name=name,
        kind=kind,
        phone=phone,
        email=email,
        notes=notes,
        length_unit=length_unit,
    )


def _keep(customer: Customer, **values) -> Customer:
    for name, value in values.items():
        setattr(customer, name, value)
    customer.name = " ".join(customer.name.split())
    customer.email = customer.email.lower()
    customer.search = fold(f"{customer.name} {customer.phone} {customer.email}")[:300]
    customer.full_clean()
    customer.save()
    return customer


@transaction.atomic
def keep_rider(*, customer: Customer, at: datetime, **told) -> RiderProfile:
    """What a rider told of themselves; what is left out of `told` is forgotten.

    Names are those of RiderProfile. Returns it as kept.
    """
    profile = RiderProfile.objects.filter(customer=customer).first()
    profile = profile or RiderProfile(customer=customer)
    blank = RiderProfile()
    for name in RIDER_FIELDS:
        setattr(profile, name, told.get(name, getattr(blank, name)))
    profile.told_at = at
    profile.full_clean()
    profile.save()
    return profile
