"""One board through the whole factory, each person on the device that person has."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from orders.models import Board
from stages.models import Position, Stage
from tests.browser.conftest import DESK, PHONE, TABLET
from tests.waiting import wait_until

pytestmark = pytest.mark.django_db(transaction=True)


def take_the_order(counter):
    page = counter.page
    page.goto("/orders/new/")
    page.get_by_label("Find the customer: name, phone or e-mail").fill("somebody not yet known")
    page.locator("input[name=customer][value=new]").check()
    page.locator("#id_name").fill("Tora Skjelvik")
    page.locator("#id_phone").fill("412 34 567")
    page.locator("#id_email").fill("tora@example.com")
    for field, typed in {
        "length_nm": "6' 2\"",
        "width_nm": "19 1/2",
        "thickness_nm": "2-7/16",
        "nose_nm": "29.8 cm",
        "tail_nm": "14.5",
    }.items():
        page.locator(f"#id_{field}").fill(typed)
    page.locator("#id_tail_shape").select_option("swallow")
    page.locator("#sketch svg").first.wait_for()
    page.locator("#id_colour").fill("Sea-green tint on the bottom, clear deck")
    page.locator("#id_art").fill("Small gannet by the tail, left of the stringer")
    page.locator("#id_price").fill("850")
    page.locator("#id_deposit").fill("400")
    page.locator("#id_deposit_paid").fill("400")
    day = timezone.localdate() + timedelta(days=35)
    page.locator("#id_promised_on").fill(day.isoformat())
    counter.look("new-order-typed")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/orders/\d+/$"))
    counter.look("order")
    return Board.objects.get(order__customer__name="Tora Skjelvik")


def release(counter, board):
    page = counter.page
    page.get_by_role("link", name="Release to the floor").click()
    tick = page.locator(f"input[name=board][value='{board.number}']")
    if not tick.is_checked():
        tick.check()
    counter.look("release")
    page.get_by_role("button", name="Release and print tickets").click()
    # Neither paid nor signed: said once more, on purpose.
    page.locator("input[name=said]").check()
    counter.look("release-asked")
    page.get_by_role("button", name="Release and print tickets").click()
    page.get_by_role("link", name="Print the tickets (PDF)").wait_for()
    counter.look("released")
    address = page.get_by_role("link", name="Print the tickets (PDF)").get_attribute("href")
    paper = counter.context.request.get(address)
    assert paper.headers["content-type"] == "application/pdf"
    assert paper.body().startswith(b"%PDF")
    board.refresh_from_db()
    return board.tickets.get(voided_at=None).code


def logged(page, what):
    """The server has it: before that the page says that it is kept on the device."""
    page.get_by_text(re.compile(rf"Logged \d\d:\d\d: {what}")).wait_for()


def scan_and_work(phone, code, step, *, last="Finish"):
    """One tap after the scan takes the board in hand; one more when the work is done."""
    page = phone.page
    page.goto(f"/T/{code}")
    phone.look(f"scan-{step.lower().replace(' ', '-')}", axe="again" not in step)
    page.get_by_role("button", name="Take in hand").click()
    logged(page, "in hand")
    phone.look(f"in-hand-{step.lower().replace(' ', '-')}", axe=step == "Shaping")
    if last == "Pass":
        page.locator("[name=qc-as-ordered]").check()
        page.locator("[name=qc-all-good]").check()
    if page.locator(".unfinished summary").count():  # its coats were not logged: asked once
        page.locator(".unfinished summary").click()
        last_button = page.get_by_role("button", name="Finish all the same")
    else:
        last_button = page.get_by_role("button", name=last, exact=True)
    last_button.click()
    last_button.wait_for(state="detached")
    logged(page, {"Finish": "finished", "Pass": "passed"}[last])


def test_from_the_counter_to_the_rack(shop, device):
    Stage.objects.update(rest_hours=0)  # nothing rests: the test has no night to wait
    counter = device(TABLET).known("cleo")
    board = take_the_order(counter)
    code = release(counter, board)

    manager = device(DESK).known("mara")
    manager.page.goto("/floor/")
    manager.page.get_by_text(str(board.number)).first.wait_for()
    manager.look("floor-with-one-board")

    for username, step in [
        ("inka", "Shaping"),
        ("inka", "Fin boxes"),
        ("bo", "Glassing"),
        ("sela", "Sanding"),
        ("quin", "Plug"),
    ]:
        scan_and_work(device(PHONE).known(username), code, step)

    judge = device(PHONE).known("quin")
    judge.page.goto(f"/T/{code}")
    judge.page.get_by_role("button", name="Take in hand").click()
    logged(judge.page, "in hand")
    judge.page.get_by_text("Something wrong").click()
    judge.page.get_by_role("radio", name="Sanding").check()
    judge.page.locator("#defect").select_option(index=1)
    judge.page.locator("#where").fill("left rail, a foot from the nose")
    judge.look("send-back")
    judge.page.get_by_role("button", name="Send back").click()
    judge.page.get_by_role("button", name="Send back").wait_for(state="detached")
    judge.page.get_by_text(re.compile(r"\d\d:\d\d: sent back")).wait_for()
    wait_until(  # it is kept on the device first, and then sent
        lambda: Position.objects.get(board=board).stage.name == "Sanding",
        "the board was not sent back",
        page=judge.page,
    )

    scan_and_work(device(PHONE).known("sela"), code, "Sanding again")
    scan_and_work(device(PHONE).known("quin"), code, "Plug again")
    scan_and_work(judge, code, "QC", last="Pass")
    assert Position.objects.get(board=board).state == "ready"

    rider = device(PHONE)
    rider.page.goto(f"/r/{board.rider_token}/")
    rider.look("rider-ready")
    assert "850" not in rider.page.content()
    assert "Tora" not in rider.page.content()

    counter.page.goto(f"/boards/{board.number}/")
    counter.look("board-ready")
    counter.page.get_by_role("link", name="Hand over").click()
    counter.look("hand-over")
    counter.page.get_by_role("button", name=re.compile("hand it over")).click()
    counter.page.wait_for_load_state()
    counter.look("board-handed-over")
    assert Position.objects.get(board=board).state == "handed_over"


def test_on_a_shared_tablet_two_taps_and_a_pin(shop, device):
    board = shop.released(at=timezone.now())
    code = board.tickets.get().code
    tablet = device(TABLET).known("mara")
    tablet.page.goto("/tablets/")
    tablet.look("tablets")
    tablet.page.get_by_label("Name of this tablet").fill("Tablet by the racks")
    tablet.page.get_by_role("button", name=re.compile("Make it a shared tablet")).click()

    tablet.page.goto(f"/T/{code}")
    tablet.look("who")
    tablet.page.get_by_role("link", name="Inka").click()
    tablet.page.get_by_label("PIN").fill("2741")
    tablet.look("pin")
    tablet.page.keyboard.press("Enter")
    tablet.page.get_by_role("button", name="Take in hand").click()
    logged(tablet.page, "in hand")
    assert Position.objects.get(board=board).holder == shop.inka


def test_what_was_typed_outlives_a_reload_and_a_lost_sign_in(shop, device):
    counter = device(TABLET).known("cleo")
    page = counter.page
    page.goto("/orders/new/")
    page.locator("#id_length_nm").fill("7-0")
    page.locator("#id_colour").fill("Cream, one red band")
    page.reload()
    assert page.locator("#id_length_nm").input_value() == "7-0"
    page.wait_for_load_state("networkidle")  # what is redrawn must not meet the lost sign-in first
    counter.context.clear_cookies(name="sessionid")
    page.get_by_role("button", name="Take the order").last.click()
    page.wait_for_url(re.compile("sign-in"))
    counter.complaints.clear()
    page.get_by_label("Username").fill("cleo")
    page.get_by_label("Password").fill("foam and resin")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(re.compile("/orders/new/"))
    assert page.locator("#id_length_nm").input_value() == "7-0"
    assert page.locator("#id_colour").input_value() == "Cream, one red band"
