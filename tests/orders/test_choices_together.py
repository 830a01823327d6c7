"""Choices that go together, said in words, all of a form in one round."""

import pytest
from django.urls import reverse

from orders.resins.models import GlassShop
from orders.shape.fin_boxes import cannot_hold, unusual_boxes
from orders.specs.choices import BoxKind, FinSetup
from tests.drawn import sent_by
from tests.orders.test_order_form import NEW, typed

pytestmark = pytest.mark.django_db


# Common practice, no source.
@pytest.mark.parametrize(("fins", "boxes", "fits"), [
    ("three_fin", "single_slot", "yes"), ("three_fin", "two_plug", "yes"),
    ("three_fin", "glassed_on", "yes"), ("single", "centre_box", "yes"),
    ("two_plus_one", "centre_and_slots", "yes"), ("none", "none", "yes"),
    ("three_fin", "centre_box", "no"), ("two_plus_one", "centre_box", "no"),
    ("twin", "none", "no"), ("five_box", "glassed_on", "no"), ("none", "glassed_on", "no"),
    ("single", "single_slot", "asked"), ("none", "two_plug", "asked"),
    ("four_fin", "centre_and_slots", "asked"),
])  # fmt: skip
def test_boxes_hold_the_fins_they_are_made_for(fins, boxes, fits):
    refused, asked = cannot_hold(fins, boxes), unusual_boxes(fins, boxes)
    assert (bool(refused), bool(asked)) == (fits == "no", fits == "asked")


def test_every_setup_has_boxes_that_need_no_question_and_no_pair_has_two_answers():
    for fins in FinSetup.values:
        plain = [b for b in BoxKind.values if not (cannot_hold(fins, b) or unusual_boxes(fins, b))]
        assert plain, fins
        for boxes in BoxKind.values:
            assert not (cannot_hold(fins, boxes) and unusual_boxes(fins, boxes))


def test_boxes_that_cannot_hold_the_fins_are_refused_beside_every_other_mistake(counter, world):
    page = counter.post(NEW, typed(
        world, customer="new", name="", email="no address", fin_setup="three_fin",
        box_kind="centre_box", foam="eps", resin="polyester", tail_shape="nothing",
        how_many="many", promised_on="soon", deposit="much",
    ))  # fmt: skip
    assert page.status_code == 422
    board = page.context["form"].errors
    assert {"box_kind", "resin", "tail_shape", "how_many", "promised_on"} <= set(board)
    assert set(page.context["terms"].errors) == {"deposit"}
    assert {"name", "email"} <= set(page.context["who"].errors)
    for form in (page.context["form"], page.context["who"]):
        said = " ".join(sentence for errors in form.errors.values() for sentence in errors)
        for not_ours in ("Select a valid", "Enter a ", "This field", "Ensure this"):
            assert not_ours not in said


def test_cloth_that_the_shop_does_not_list_is_asked_about(counter, world):
    fields = typed(world, deck_cloth="5 oz", bottom_cloth="4OZ")
    page = counter.post(NEW, fields)
    (odd,) = page.context["form"].odd
    assert "5 oz" in odd
    key = page.context["form"].sketch().odd_key
    assert counter.post(NEW, {**fields, "confirmed": key}).status_code == 302


@pytest.mark.parametrize(
    ("at", "name"), [("ordered", "change-board"), ("released", "board-change")]
)
def test_cloth_that_was_said_to_be_right_for_a_board_is_asked_about_when_it_changes(
    counter, world, at, name
):
    board = getattr(world, at)(deck_cloth="5 oz")
    address = reverse(name, args=[board.number])
    sent = sent_by(counter.get(address), field="width_nm")
    sent |= {"width_nm": "19 3/4", "colour": "Red", "reason": "they rang"}
    drawn = counter.post(reverse("draw-board"), sent) if at == "ordered" else None
    assert drawn is None or "5 oz" not in str(drawn.context["form"].sketch().odd)
    assert counter.post(address, {**sent, "bottom_cloth": "5 oz"}).status_code == 422
    assert counter.post(address, {**sent, "deck_cloth": "7 oz"}).status_code == 422
    assert counter.post(address, sent).status_code == 302




def test_the_list_of_cloth_is_the_shops_and_is_offered_in_the_form(client, world):
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    shop = GlassShop.current()
    shop.pk, shop.cloths = 1, ["5 oz", "4 oz", "4 + 4 oz"]
    shop.save()
    assert "<option>5 oz</option>" in client.get(NEW).content.decode()
    assert client.post(NEW, typed(world, deck_cloth="5 oz")).status_code == 302
    path = reverse("glass-shop")
    assert "5 oz\n4 oz\n4 + 4 oz" in client.get(path).content.decode()
