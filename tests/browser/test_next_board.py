"""From what the rider says of a board to the next one, in a real browser."""

from datetime import timedelta

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from orders.customers.actions import add_customer
from orders.models import Order
from orders.shape.units import parse_length
from stages.floor.actions import hand_over
from tests.browser.conftest import DESK, PHONE
from tests.waiting import wait_until
from tests.world import MONDAY

pytestmark = pytest.mark.django_db(transaction=True)


def test_what_the_rider_says_on_the_phone_is_read_when_the_next_is_ordered(shop, device):
    old = shop.released()
    at = shop.worked(old, until="rack")
    hand_over(board=old, by=shop.cleo, at=at + timedelta(hours=1))

    rider = device(PHONE)
    rider.page.goto(reverse("rider", args=[old.rider_token]))
    rider.page.get_by_text("How does it ride?").click()
    rider.page.get_by_label("Hold").select_option("2")
    rider.page.get_by_label("In your own words").fill("Slides out when it is steep")
    rider.look("rider-says")
    # The browser must say where the form comes from, or it is refused.
    rider.page.get_by_role("button", name="Tell the shaper").click()
    rider.page.get_by_text("Thank you. Your shaper reads it").wait_for()

    cleo = device(DESK).known("cleo")
    cleo.page.goto(reverse("new-order"))
    cleo.page.get_by_label("Find the customer").fill("tangv")
    cleo.page.locator("#found label").first.click()
    cleo.page.get_by_text("Slides out when it is steep").wait_for()

    cleo.page.goto(reverse("ride-notes", args=[old.number]))
    cleo.look("ride-notes")

    cleo.page.goto(reverse("order", args=[old.order.number]))
    cleo.page.get_by_role("link", name="Same again, with changes").click()
    cleo.page.get_by_label("Width").first.fill("19 3/4")
    cleo.page.locator(".since li", has_text='19 1/2" →').wait_for()
    cleo.look("same-again")
    cleo.page.get_by_role("button", name="Take the order").last.click()
    cleo.page.get_by_text("is taken. Print").wait_for()
    board = Order.objects.first().boards.get()
    assert board.spec.from_spec == old.spec
    assert board.spec.width_nm == parse_length("19 3/4")

    cleo.page.goto(reverse("spec", args=[board.spec_id]))
    cleo.page.get_by_role("link", name="Compare with the board it started from").click()
    cleo.page.get_by_role("img", name="laid on one another").wait_for()
    cleo.look("compared")
    phone = device(PHONE).known("inka")
    phone.page.goto(cleo.page.url)
    phone.page.get_by_role("link", name="Noses together").click()
    expect(phone.page.locator("a[aria-current=true]")).to_have_text("Noses together")
    phone.look("compared")


def test_an_order_begun_from_an_old_board_is_no_draft_of_an_empty_one(shop, device):
    old = shop.released()
    cleo = device(DESK).known("cleo")
    again = f"{reverse('new-order')}?same_as={old.spec_id}"
    cleo.page.goto(again)
    cleo.page.get_by_label("Width").first.fill("20 1/4")
    cleo.page.goto(reverse("new-order"))
    assert cleo.page.get_by_label("Width").first.input_value() == ""
    cleo.page.goto(again)
    assert cleo.page.get_by_label("Width").first.input_value() == "20 1/4"


def test_enter_before_the_list_has_followed_chooses_nobody_from_the_older_one(shop, device):
    add_customer(name="Anna Aalto", kind="rider", at=MONDAY)
    old = shop.released()
    cleo = device(DESK).sign_in("cleo")
    page = cleo.page
    page.goto(reverse("new-order"))
    page.locator("#id_find").fill("a")
    page.locator("#found label", has_text="Aalto").wait_for()
    held = []
    page.route("**/find/**", lambda route: held.append(route))
    page.locator("#id_find").press_sequentially("se tangv")
    page.locator("#id_find").press("Enter")
    assert page.locator("#found input:checked").count() == 0
    wait_until(
        lambda: any("tangv" in route.request.url for route in held), "nobody was asked", page=page
    )
    for route in held:
        route.continue_()
    page.unroute("**/find/**")
    page.locator("#found label:has(:checked)", has_text="Tangv").wait_for()
    page.get_by_role("link", name=f"Same again as board {old.number}").click()
    page.locator(".since", has_text=f"board {old.number}").wait_for()
    assert page.get_by_label("Width").first.input_value() == "19 1/2"
    assert page.locator("#found input:checked").count() == 1
    cleo.look("same-again-here")


def test_whom_you_choose_while_the_list_is_on_its_way_stays_chosen(shop, device):
    page = device(DESK).sign_in("cleo").page
    page.goto(reverse("new-order"))
    page.locator("#id_find").fill("tang")
    page.locator("#found label", has_text="Tangv").wait_for()
    held = []
    page.route("**/find/**", lambda route: held.append(route))
    with page.expect_request("**/find/**"):
        page.locator("#id_find").fill("tangv")
    page.locator("#found label", has_text="Tangv").click()
    held[0].continue_()
    page.locator("#found [data-words=tangv]").wait_for(state="attached")
    assert page.locator("#found input:checked").count() == 1
