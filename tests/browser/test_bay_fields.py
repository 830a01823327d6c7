"""No field of a bay's page lies under what sticks to the edge of the screen while it is filled in,
on a phone whose keyboard takes its share of the height."""

from datetime import timedelta

import pytest
from django.urls import reverse

from stages.log.fold import Kind
from stages.models import Position
from stages.outside.actions import make_manifest, send_out, set_bay
from stages.outside.queries import forget_outside_stages
from stages.routes.models import Bay
from tests.browser.conftest import PHONE
from tests.resins import drum_polyester

pytestmark = pytest.mark.django_db(transaction=True)

# Common practice, no source: a phone's keyboard with its row of suggestions.
KEYBOARD = 290
# Each field focused, as by a keyboard's "next": what covers its middle or an edge of it.
COVERED = """() => {
  for (const fold of document.querySelectorAll("main details")) fold.open = true;
  const found = [];
  let fields = 0;
  for (const field of document.querySelectorAll("main :is(input, select, textarea)")) {
    if (field.type === "hidden" || field.disabled || !field.checkVisibility()) continue;
    fields += 1;
    field.focus();
    const drawn = !["radio", "checkbox", "file"].includes(field.type);
    const seen = drawn ? field : field.labels[0];
    const { left, right, top, bottom } = seen.getBoundingClientRect();
    for (const y of [top + 2, (top + bottom) / 2, bottom - 2]) {
      const hit = document.elementFromPoint((left + right) / 2, y);
      if (seen.contains(hit) || hit?.contains(seen) && !hit.matches("html, body")) continue;
      const by = hit?.closest("button, .thumb, header, p") ?? hit;
      const named = `${field.name || field.id}, ${y} of ${innerHeight}`;
      found.push(`${named}: ${by?.outerHTML.slice(0, 80)}`);
    }
  }
  return [fields, found];
}"""


@pytest.fixture
def phone(device):
    def opened(person, address):
        one = device((PHONE[0], PHONE[1] - KEYBOARD)).known(person.username)
        one.page.goto(address)
        return one.page

    return opened


def check_fields(page):
    fields, covered = page.evaluate(COVERED)
    assert fields
    assert not covered


STAGES = ["Shaping", "Fin boxes", "Glassing", "Sanding", "Plug", "Gloss and polish", "QC"]


@pytest.mark.parametrize("stage", STAGES)
def test_no_field_of_a_board_in_hand_is_covered(shop, phone, stage):
    drum_polyester(shop.mara)
    board = shop.released(finish="gloss")
    at = shop.worked(board, until=stage)
    holder = shop.hands_for(board)
    at = max(at, Position.objects.get(board=board).rests_until or at)
    shop.log(board, Kind.TAKEN, holder, at)
    page = phone(holder, reverse("ticket", args=[board.tickets.get().code]))
    page.locator(".thumb").wait_for()
    check_fields(page)


def test_a_held_board_is_read_before_it_is_let_go(shop, phone):
    board = shop.released()
    held = {"reason": "damaged: nose"}
    shop.log(board, Kind.HELD, shop.inka, board.released_at, payload=held)
    page = phone(shop.inka, reverse("ticket", args=[board.tickets.get().code]))
    page.get_by_role("button", name="Let go").wait_for()
    stuck = "(all) => all.filter((one) => one.getBoundingClientRect().top < innerHeight / 2).length"
    assert page.locator(".thumb").evaluate_all(stuck) == 0
    check_fields(page)


def test_no_field_of_a_stop_that_may_be_passed_is_covered(shop, phone):
    board = shop.released()
    shop.log(board, Kind.TAKEN, shop.inka, board.released_at)
    page = phone(shop.mara, reverse("ticket", args=[board.tickets.get().code]))
    page.locator(".override").wait_for()
    check_fields(page)


def test_no_field_of_the_scan_page_is_covered(shop, phone):
    shop.released()
    check_fields(phone(shop.inka, reverse("scan")))


def test_no_field_of_the_pin_page_is_covered(shop, phone):
    page = phone(shop.mara, reverse("tablets"))
    page.get_by_label("Name of this tablet").fill("Wet room")
    page.get_by_role("button", name="Make it a shared tablet").click()
    page.wait_for_url("**/who/")
    page.goto(reverse("pin", args=[shop.inka.pk]))
    check_fields(page)


def test_no_field_of_a_manifest_is_covered(shop, phone):
    bay = set_bay(bay=Bay.objects.get(name="Glassing"), outside=True, address="Tideline Glass")
    forget_outside_stages()
    boards = [shop.released(box_kind="two_plug") for _ in range(6)]
    at = max(shop.worked(board, until="Glassing") for board in boards)
    page = phone(shop.mara, reverse("outside"))
    check_fields(page)
    manifest = make_manifest(
        bay=bay, boards=boards, due_on=at.date() + timedelta(days=9), note="", by=shop.mara, at=at
    )
    send_out(manifest=manifest, by=shop.mara, at=at)
    page.goto(reverse("manifest", args=[manifest.code]))
    check_fields(page)
