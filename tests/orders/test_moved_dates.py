"""A date given before is moved only with a reason, which the order's page tells."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from orders.orderbook.models import Promise
from orders.orderbook.promises import Reason, give_promise
from tests.drawn import sent_by
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


def test_no_date_takes_anothers_place_without_a_reason(world):
    board = world.ordered()
    with pytest.raises(ValidationError):
        give_promise(board=board, on=date(2026, 4, 20), by=world.cleo, at=MONDAY)
    first = world.ordered(promised_on=None)
    give_promise(board=first, on=date(2026, 4, 20), by=world.cleo, at=MONDAY, why=Reason("slip"))
    assert Promise.objects.filter(moved_for="").count() == 2


def test_the_counter_is_asked_why_only_when_the_date_moves(counter, world):
    board = world.ordered()
    path = reverse("change-board", args=[board.number])
    drawn = {**sent_by(counter.get(path), field="promised_on"), "reason": "as asked"}
    assert counter.post(path, {**drawn, "price": "900"}).status_code == 302
    drawn = {**sent_by(counter.get(path), field="promised_on"), "reason": "as asked"}
    moved = {**drawn, "promised_on": "2090-04-24"}
    refused = counter.post(path, moved)
    assert set(refused.context["form"].errors) == {"moved_for"}
    wordless = counter.post(path, {**moved, "moved_for": "other"})
    assert set(wordless.context["form"].errors) == {"moved_words"}
    told = {"moved_for": "customer", "moved_words": "home from sea in May"}
    assert counter.post(path, {**moved, **told}).status_code == 302
    page = counter.get(reverse("order", args=[board.order.number])).content.decode()
    assert "from Fri 10 Apr" in page
    assert "The customer wants another day: home from sea in May" in page
