"""The same board again, with changes: from an old one, for the same customer."""

from datetime import timedelta

import pytest
from django.urls import reverse

from orders.models import Order
from orders.orderbook.actions import BoardAsked, change_board
from orders.shape.units import parse_length
from tests.orders.test_compare_page import design, text_of
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


def opened(client, spec, **more):
    return client.get(reverse("new-order"), {"same_as": spec.pk, **more})


def typed_in(answer) -> dict:
    """What the page would send: every field of its three forms as it stands."""
    found = {}
    for name in ("who", "form", "terms"):
        form = answer.context[name]
        found |= {field.html_name: field.value() for field in form}
    return {name: value for name, value in found.items() if value is not None}


@pytest.fixture
def old(world):
    version = design(world, "Skerry")
    return world.ordered(
        design_version=version,
        rail="sixty_forty",
        nose_rocker_nm=parse_length("5 1/8"),
        written={"width_nm": "in", "nose_nm": "mm"},
        bay_notes="Fetch before the wedding",
        art="A gannet",
    )


def test_the_old_boards_customer_numbers_and_choices_are_filled_in(counter, world, old):
    answer = opened(counter, old.spec)
    form = answer.context["form"]
    assert answer.context["who"].chosen == world.rider.pk
    assert form["length_nm"].value() == "6'2\""
    assert form["nose_nm"].value() == "298.45 mm"
    assert form["rail"].value() == "sixty_forty"
    assert form["art"].value() == "A gannet"
    assert form["design_version"].value() == old.spec.design_version_id
    assert form["bay_notes"].value() == "Fetch before the wedding"
    assert not form["promised_on"].value()
    assert f"same again as board {old.number}" in text_of(answer)


def test_its_price_is_the_designs_of_today_and_never_the_old_one(counter, world, old):
    assert opened(counter, old.spec).context["form"]["price"].value() == "700.00"
    one_off = world.ordered()
    assert one_off.price_cents == 85_000
    assert not opened(counter, one_off.spec).context["form"]["price"].value()


def test_a_design_that_is_made_no_more_keeps_its_numbers_but_not_its_price(counter, world, old):
    from orders.designs.actions import add_version, retire_design

    version = old.spec.design_version
    add_version(design=version.design, numbers={"length_nm": 1_900_000_000,
                "width_nm": 480_000_000, "thickness_nm": 60_000_000}, at=MONDAY)
    retire_design(design=version.design, at=MONDAY)
    form = opened(counter, old.spec).context["form"]
    assert not form["price"].value()
    assert version in form.fields["design_version"].queryset


def test_what_is_changed_shows_while_it_is_typed_and_stays_on_the_order(counter, world, old):
    answer = opened(counter, old.spec)
    sent = typed_in(answer) | {"width_nm": "19 3/4", "bay_notes": ""}
    drawn = counter.post(reverse("draw-board"), sent)
    words = f'Changed since board {old.number} : Width: 19 1/2" → to 19 3/4"'
    assert words in text_of(drawn)
    taken = counter.post(reverse("new-order"), sent)
    assert taken.status_code == 302, taken.context["form"].errors
    board = Order.objects.first().boards.get()
    assert board.order.customer == world.rider
    assert board.spec.from_spec == old.spec
    assert board.spec.width_nm == parse_length("19 3/4")
    for address in (taken.url, reverse("spec", args=[board.spec_id])):
        page = text_of(counter.get(address))
        assert words in page
        assert "Fetch before the wedding" in page  # what the old one's notes said
    assert "Art" not in [change.label for change in answer.context["form"].changed_since()]


def test_nothing_changed_reads_as_the_same(counter, old):
    answer = opened(counter, old.spec)
    changes = answer.context["form"].changed_since()
    assert changes == []


def test_the_lines_of_a_colour_end_as_the_browser_likes_and_are_no_change(counter, world):
    board = world.ordered(colour="Clear\nGrey pinline")
    sent = typed_in(opened(counter, board.spec)) | {"colour": "Clear\r\nGrey pinline"}
    assert f"The same as board {board.number}" in text_of(counter.post(reverse("draw-board"), sent))


def test_the_link_stays_with_the_boards_later_revisions(counter, world, old):
    counter.post(reverse("new-order"), typed_in(opened(counter, old.spec)))
    board = Order.objects.first().boards.get()
    values = {**world.spec(), "width_nm": parse_length("20")}
    change_board(board=board, asked=BoardAsked(spec=values), reason="wider", by=world.cleo,
                 at=MONDAY + timedelta(days=1))
    assert board.spec.number == 2
    assert board.spec.from_spec == old.spec
    page = counter.get(reverse("change-board", args=[board.number]))
    assert f"Changed since board {old.number}" in text_of(page)


@pytest.mark.parametrize("key", ["", "0", "x", "9" * 30, "-1"])
def test_a_board_that_is_not_there_opens_an_empty_form(counter, key):
    answer = counter.get(reverse("new-order"), {"same_as": key})
    assert answer.status_code == 200
    assert answer.context["form"].started_from is None


def test_the_old_board_is_one_tap_away_from_its_order_its_customer_and_its_numbers(
    counter, world, old
):
    link = f"{reverse('new-order')}?same_as={old.spec_id}"
    for name, key in (("order", old.order.number), ("customer", world.rider.pk),
                      ("spec", old.spec_id)):
        assert link in counter.get(reverse(name, args=[key])).content.decode(), name
    counter.force_login(world.inka, backend="orders.accounts.backends.PasswordBackend")
    assert link not in counter.get(reverse("spec", args=[old.spec_id])).content.decode()


def test_revisions_and_versions_lead_to_what_differs_between_them(counter, world, old):
    from orders.designs.actions import add_version

    version = old.spec.design_version
    newer = add_version(design=version.design, numbers={"length_nm": 1_900_000_000,
                        "width_nm": 480_000_000, "thickness_nm": 60_000_000}, at=MONDAY)
    change_board(board=old, asked=BoardAsked(spec={**world.spec(), "rail": "full"}), reason="x",
                 by=world.cleo, at=MONDAY)
    pages = {
        reverse("order", args=[old.order.number]): f"a={old.number}/1&amp;b=spec:{old.spec_id}",
        reverse("spec", args=[old.spec_id]): f"a={old.number}/1&amp;b=spec:{old.spec_id}",
        reverse("designs"): f"a=version:{version.pk}&amp;b=version:{newer.pk}",
    }
    for address, query in pages.items():
        page = counter.get(address).content.decode()
        link = f"{reverse('compare')}?{query}"
        assert link in page, address
        assert counter.get(link.replace("&amp;", "&")).context.get("compared")


@pytest.mark.parametrize(("fins", "kept"), [("three_fin", True), ("twin", False)])
def test_the_fins_stand_where_they_stood_while_they_are_the_same_fins(counter, world, fins, kept):
    marks = {"front": {"up_nm": parse_length("11 1/4")}}
    board = world.ordered(fin_setup="three_fin", fin_marks=marks)
    sent = typed_in(opened(counter, board.spec)) | {"fin_setup": fins}
    labels = [change.label for change in _drawn(counter, sent).changed_since()]
    counter.post(reverse("new-order"), sent)
    again = Order.objects.first().boards.get()
    assert again.spec.from_spec == board.spec
    assert again.spec.fin_marks == (marks if kept else {})
    assert bool(labels) is not kept


def _drawn(client, sent):
    return client.post(reverse("draw-board"), sent).context["form"]
