"""The book of customers: found however they are typed, and not entered twice."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from orders.customers.actions import add_customer
from orders.customers.phones import PhoneError, format_phone, parse_phone
from orders.customers.queries import find_customers, same_person
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]


@pytest.mark.parametrize("words", ["ase tang", "Åse", "TANGVÆR", "tangvaer", "923 45", "ase@ex"])
def test_a_customer_is_found_by_part_of_a_name_a_phone_or_an_email(world, words):
    assert find_customers(words) == [world.rider]


def test_nothing_typed_finds_nobody_and_the_chosen_one_stays_listed(world):
    assert find_customers("") == []
    assert find_customers("somebody else", also=world.rider.pk) == [world.rider]


# Numbers from the numbering plan's own examples: `phonenumbers` example_number("NO"), ("GB").
@pytest.mark.parametrize(
    ("text", "region", "e164"),
    [
        ("406 12 345", "NO", "+4740612345"),
        ("+47 406 12 345", "GB", "+4740612345"),
        ("07400 123456", "GB", "+447400123456"),
        ("0047 40612345", "NO", "+4740612345"),
    ],
)
def test_a_phone_number_is_kept_with_its_country_code(text, region, e164):
    assert parse_phone(text, region) == e164
    assert parse_phone(format_phone(e164), "US") == e164


@pytest.mark.parametrize("text", ["12", "ring the shop", "+47 1"])
def test_what_is_no_phone_number_is_refused_with_an_example(text):
    with pytest.raises(PhoneError, match="Type it like"):
        parse_phone(text, "NO")


@pytest.mark.parametrize(
    ("entry", "same"),
    [
        ({"name": "Somebody", "phone": "+4792345678"}, True),
        ({"name": "Somebody", "email": "Ase@Example.com"}, True),
        ({"name": "åse  TANGVAER"}, True),
        ({"name": "Åse Tangværsen"}, False),
        ({"name": "Åse"}, False),
        ({"name": "Somebody", "phone": "+4792345679"}, False),
    ],
)
def test_the_same_person_is_known_by_phone_email_or_name(world, entry, same):
    assert same_person(**entry) == ([world.rider] if same else [])


def test_blank_particulars_make_nobody_the_same(world):
    one = add_customer(name="Ole Vik", kind="rider", at=MONDAY)
    assert same_person(name="Per Vik", phone="", email="") == []
    assert one.search == "ole vik"


def test_particulars_are_mended_and_the_search_follows(counter, world):
    path = f"/customers/{world.rider.pk}/"
    page = counter.post(path, {"name": "Åse Nes", "kind": "shop", "phone": "406 12 345"})
    assert page.status_code == 302
    assert find_customers("nes 4740612345") == [world.rider]
    assert find_customers("tangv") == []


def test_a_wrong_phone_number_stays_as_typed(counter, world):
    page = counter.post(
        f"/customers/{world.rider.pk}/", {"name": "Åse", "kind": "rider", "phone": "12 34"}
    )
    assert page.status_code == 422
    assert 'value="12 34"' in page.content.decode()
    world.rider.refresh_from_db()
    assert world.rider.name == "Åse Tangvær"


def test_the_form_lists_who_matches_while_one_types(counter, world):
    body = counter.get("/customers/find/?find=tangv").content.decode()
    assert f'value="{world.rider.pk}"' in body
    assert "+47 92 34 56 78" in body
    body = counter.get("/customers/find/?find=zzz").content.decode()
    assert "Nobody in the book has “zzz”" in body


def test_the_customers_page_asks_as_much_for_many_as_for_few(counter, world):
    def queries():
        with CaptureQueriesContext(connection) as asked:
            assert counter.get("/customers/").status_code == 200
        return len(asked)

    queries()  # the factory and the session are remembered from here on
    before = queries()
    for index in range(20):
        add_customer(name=f"Rider {index}", kind="rider", at=MONDAY)
    assert queries() == before


def test_a_customers_page_shows_what_they_ordered(counter, world):
    board = world.ordered()
    body = counter.get(f"/customers/{world.rider.pk}/").content.decode()
    assert f"Order {board.order.number}" in body
    assert f"/orders/new/?customer={world.rider.pk}" in body
