"""A spec's page: the drawing and the numbers of one revision, for whoever works on the board."""

import pytest
from django.test import Client
from django.urls import reverse

pytestmark = pytest.mark.django_db

BACKEND = "orders.accounts.backends.PasswordBackend"


def opened(person, spec):
    client = Client()
    client.force_login(person, backend=BACKEND)
    return client.get(reverse("spec", args=[spec.pk]))


def test_the_order_leads_to_the_numbers_and_the_drawing_of_each_board(world):
    board = world.ordered()
    client = Client()
    client.force_login(world.cleo, backend=BACKEND)
    page = client.get(reverse("order", args=[board.order.number])).content.decode()
    assert reverse("spec", args=[board.spec_id]) in page


def test_a_glasser_reads_the_numbers_but_is_led_to_no_page_of_the_counter(world):
    board = world.ordered()
    page = opened(world.bo, board.spec)
    assert page.status_code == 200 and b"6&#x27;2" in page.content
    assert reverse("order", args=[board.order.number]).encode() not in page.content
