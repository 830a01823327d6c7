"""What the counter does to the book of customers."""

from datetime import datetime
from typing import Required, TypedDict, Unpack

from django.db import transaction

from orders.customers.folding import fold
from orders.customers.models import RIDER_FIELDS, Customer, RiderProfile


class Particulars(TypedDict, total=False):
    """What is written down of a customer. `phone` is E.164, or as typed where nobody can check
    it."""

    name: Required[str]
    kind: Required[str]
    phone: str
    email: str
    notes: str
    length_unit: str


PARTICULARS = tuple(Particulars.__annotations__)


def add_customer(*, at: datetime, **particulars: Unpack[Particulars]) -> Customer:
    """A new customer. Whether the person is known already is asked before."""
    return _keep(Customer(added_at=at), particulars)


def change_customer(*, customer: Customer, **particulars: Unpack[Particulars]) -> Customer:
    """What is left out stays as it is."""
    return _keep(customer, particulars)


def _keep(customer: Customer, particulars: Particulars) -> Customer:
    for name, value in particulars.items():
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
