"""Finding people in the book."""

from collections.abc import Iterable, Mapping

from django.db.models import Count, Q, QuerySet

from orders.customers.folding import fold
from orders.customers.models import Customer, ReadsIn
from orders.whole_numbers import whole_number

SHOWN = 8


def find_customers(words: str, *, also: int | None = None) -> list[Customer]:
    """The first few that match, the one with key `also` on top even when it does not."""
    found = list(customer_list(words)[:SHOWN]) if words.strip() else []
    if also is not None:
        chosen = Customer.objects.filter(pk=also).first()
        if chosen:
            found = [chosen, *(one for one in found if one.pk != also)]
    return found


def unit_typed(typed: Mapping[str, str]) -> str:
    """The unit that the customer of an order form reads lengths in, as far as it is told: of the
    one who is chosen, or who is being written down. "" is the factory's."""
    key = typed.get("customer") or typed.get("fit-customer") or ""
    if (pk := whole_number(key)) is not None:
        units = Customer.objects.filter(pk=pk).values_list("length_unit", flat=True)
        return units.first() or ""
    unit = typed.get("length_unit", "")
    return unit if unit in ReadsIn.values else ""


def same_person(
    *, name: str, phone: str = "", email: str = "", besides: Iterable[int] = ()
) -> list[Customer]:
    """Those who may be the same person: same phone, same e-mail, or same name without accents."""
    wanted = fold(name)
    known = Q(search__startswith=wanted)
    if phone:
        known |= Q(phone=phone)
    if email:
        known |= Q(email__iexact=email)
    return [
        one
        for one in Customer.objects.filter(known).exclude(pk__in=list(besides))
        if shared_with(one, name=name, phone=phone, email=email)
    ]


def shared_with(customer: Customer, *, name: str, phone: str = "", email: str = "") -> list[str]:
    """What an entry shares with a customer, in words."""
    return [
        words
        for words, same in (
            ("same phone", phone and phone == customer.phone),
            ("same e-mail", email and email.lower() == customer.email.lower()),
            ("same name", fold(name) == fold(customer.name)),
        )
        if same
    ]


def customer_list(words: str) -> QuerySet[Customer]:
    """By name, accents and case aside: the folded text starts with it, and is indexed."""
    return Customer.objects.matching(words).order_by("search", "pk")


def count_orders(customers: Iterable[Customer]) -> None:
    """Gives each of a page's customers `orders_taken`, in one query."""
    customers = list(customers)
    counts = dict(
        Customer.objects.filter(pk__in=[one.pk for one in customers])
        .order_by()
        .values_list("pk", Count("orders"))
    )
    for one in customers:
        one.orders_taken = counts[one.pk]
