"""The manifest's pages and paper: made with ticks, sent by one scan, taken back board by board."""

from dataclasses import replace
from datetime import timedelta

import pypdfium2 as pdfium
import pytest
import time_machine
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.customers.models import CustomerKind
from orders.factory.models import Factory
from orders.tickets.models import Ticket
from stages.log.fold import State
from stages.log.models import Position
from stages.outside.models import Manifest
from stages.outside.paper import manifest_pdf
from stages.outside.sheets import sheet_of
from stages.routes.models import Bay
from tests.stages.outside.conftest import NOON

pytestmark = pytest.mark.django_db
BACKEND = "orders.accounts.backends.PasswordBackend"


@pytest.fixture
def bo(client, world):
    with time_machine.travel(NOON, tick=False):
        client.force_login(world.bo, backend=BACKEND)
        yield client


def made(client, bay, boards, due="2026-03-13") -> Manifest:
    numbers = [board.number for board in boards]
    answer = client.post(
        reverse("make-manifest", args=[bay.pk]), {"board": numbers, "due_on": due, "note": ""}
    )
    assert answer.status_code == 302, answer.content.decode()
    return Manifest.objects.get(sent_at=None, dropped_at=None)


def text_of(answer) -> str:
    return " ".join(answer.content.decode().split())


def printed(pdf: bytes) -> str:
    return "\n".join(page.get_textpage().get_text_range() for page in pdfium.PdfDocument(pdf))


def states(boards) -> list[str]:
    return list(Position.objects.filter(board__in=boards).values_list("state", flat=True))


def test_the_ticked_boards_leave_by_scanning_the_square_and_one_button(bo, glass_shop, waiting):
    manifest = made(bo, glass_shop, waiting)
    scanned = bo.post(reverse("scan"), {"code": f"https://RACK.LOCAL/M/{manifest.code}"})
    assert scanned.url == reverse("manifest", args=[manifest.code])
    assert "Send all 3 to Glassing" in text_of(bo.get(scanned.url))
    assert "3 gone to Glassing" in text_of(
        bo.post(reverse("send-manifest", args=[manifest.code]), follow=True)
    )
    assert states(waiting) == [State.AWAY] * 3
    # The code typed where a ticket is expected leads there too.
    assert bo.get(reverse("ticket", args=[manifest.code])).url == scanned.url


def test_a_day_that_has_passed_is_refused_and_the_ticks_are_kept(bo, glass_shop, waiting):
    answer = bo.post(
        reverse("make-manifest", args=[glass_shop.pk]),
        {"board": [waiting[1].number], "due_on": "2026-03-01", "note": "mind the noses"},
    )
    page = text_of(answer)
    assert answer.status_code == 422
    assert "Sun 1 Mar has passed" in page
    assert 'value="mind the noses"' in page
    assert f'value="{waiting[1].number}" checked' in page
    assert f'value="{waiting[0].number}" checked' not in page


def test_a_manifest_that_cannot_go_marks_the_board_that_stops_it(bo, world, glass_shop, waiting):
    manifest = made(bo, glass_shop, waiting)
    world.log(waiting[0], "held", world.mara, NOON, payload={"reason": "a soft spot"})
    answer = bo.post(reverse("send-manifest", args=[manifest.code]))
    assert answer.status_code == 409
    assert "Nothing has left yet" in text_of(answer)
    assert "It is held: a soft spot." in text_of(answer)
    assert State.AWAY not in states(waiting)


def test_boards_come_back_as_they_were_marked(bo, glass_shop, waiting):
    manifest = made(bo, glass_shop, waiting)
    bo.post(reverse("send-manifest", args=[manifest.code]))
    done, undone, still = waiting
    bo.post(
        reverse("manifest-back", args=[manifest.code]),
        {
            f"came-{done.number}": "done",
            f"came-{undone.number}": "not_done",
            f"came-{still.number}": "there",
        },
    )
    now = dict(Position.objects.values_list("board", "stage__name"))
    assert now[done.pk] == "Fin boxes" and now[undone.pk] == "Glassing"
    assert states([still]) == [State.AWAY]


def test_one_board_comes_back_by_its_own_ticket_once(bo, glass_shop, waiting):
    manifest = made(bo, glass_shop, waiting)
    bo.post(reverse("send-manifest", args=[manifest.code]))
    code = Ticket.objects.get(board=waiting[0]).code
    page = text_of(bo.get(reverse("ticket", args=[code])))
    assert "Back from Glassing, done" in page and "due back Fri 13 Mar" in page
    back = {"was": "done", "ref": "9d6a3c1e-4f0b-4a57-8a3e-0c7c6f6f1b11"}
    for _ in range(2):
        answer = bo.post(reverse("board-back", args=[code]), back, follow=True)
        assert "is back" in text_of(answer)
    assert waiting[0].entries.filter(kind="came_back").count() == 1


def test_what_is_overdue_says_so_on_the_floor_the_manifest_and_the_ticket(bo, glass_shop, waiting):
    manifest = made(bo, glass_shop, waiting)
    bo.post(reverse("send-manifest", args=[manifest.code]))
    with time_machine.travel(NOON + timedelta(days=10), tick=False):
        floor = text_of(bo.get(reverse("floor")))
        assert "Away: Glassing" in floor
        assert "due back Fri 13 Mar, 2 days over" in floor
        assert "2 days over" in text_of(bo.get(reverse("manifest", args=[manifest.code])))
        code = Ticket.objects.get(board=waiting[0]).code
        assert "2 days over" in text_of(bo.get(reverse("ticket", args=[code])))
        board = text_of(bo.get(reverse("board", args=[waiting[0].number])))
        assert "2 days over" in board and reverse("manifest", args=[manifest.code]) in board


def test_the_paper_names_labels_and_no_riders_and_says_what_is_to_be_done(
    bo, world, glass_shop, waiting
):
    world.rider.kind = CustomerKind.LABEL
    world.rider.name = "Tern & Daughter"
    world.rider.save()
    manifest = made(bo, glass_shop, waiting)
    pdf = bo.get(reverse("manifest-pdf", args=[manifest.code]))
    assert pdf["Content-Type"] == "application/pdf"
    text = " ".join(printed(pdf.content).split())
    for words in ("Manifest 1", "due back Fri 13 Mar 2026", "Tideline Glass", "Kaiveien 4",
                  "Tern & Daughter", "Glassing", "Clear, grey pinline",
                  *(str(board.number) for board in waiting)):  # fmt: skip
        assert words in text, words
    world.rider.kind = CustomerKind.RIDER
    world.rider.save()
    sheet = sheet_of(manifest, factory=Factory.current(), today=NOON.date())
    assert [line.label for line in sheet.lines] == ["", "", ""]
    assert "Tern" not in printed(manifest_pdf(sheet))


def test_fifteen_boards_fit_a_page(bo, world, glass_shop, waiting):
    manifest = made(bo, glass_shop, waiting)
    sheet = sheet_of(manifest, factory=Factory.current(), today=NOON.date())
    for times, pages in ((5, 1), (10, 2)):
        paper = manifest_pdf(replace(sheet, lines=sheet.lines * times))
        assert len(pdfium.PdfDocument(paper)) == pages


def test_more_boards_cost_no_more_queries(bo, world, glass_shop, waiting):
    def cost(address) -> int:
        with CaptureQueriesContext(connection) as asked:
            bo.get(address)
        return len(asked)

    bo.get(reverse("outside"))
    few = cost(reverse("outside"))
    manifest = made(bo, glass_shop, waiting[:1])
    one = cost(reverse("manifest", args=[manifest.code]))
    bo.post(reverse("tear-manifest", args=[manifest.code]))
    more = [world.released(box_kind="two_plug") for _ in range(4)]
    for board in more:
        world.worked(board, until="Glassing")
    assert cost(reverse("outside")) <= few + 1  # the torn manifest's lines
    manifest = made(bo, glass_shop, more)
    assert cost(reverse("manifest", args=[manifest.code])) == one


def test_its_rider_reads_that_it_is_out_for_glassing_and_no_name_of_the_shop(
    bo, glass_shop, waiting
):
    manifest = made(bo, glass_shop, waiting)
    bo.post(reverse("send-manifest", args=[manifest.code]))
    page = text_of(bo.get(reverse("rider", args=[waiting[0].rider_token])))
    assert "Your board is out for glassing, with another workshop." in page
    assert "Tideline" not in page


def test_a_label_stands_on_the_page_in_the_bay_and_on_the_floor(bo, world, glass_shop, waiting):
    world.rider.kind, world.rider.name = CustomerKind.LABEL, "Tern & Daughter"
    world.rider.save()
    code = Ticket.objects.get(board=waiting[0]).code
    for address in (reverse("ticket", args=[code]), reverse("floor"), reverse("scan")):
        assert "Tern &amp; Daughter" in text_of(bo.get(address)), address


def test_what_waits_for_another_business_is_no_work_of_the_crew(bo, world, glass_shop, waiting):
    world.bo.crew_member.skills.remove(world.stages["Glassing"])
    heading = text_of(bo.get(reverse("floor"))).split("</h1>")[0]
    assert "Nobody is down for Glassing" not in heading
    Bay.objects.filter(pk=glass_shop.pk).update(outside=False)
    cache.clear()
    heading = text_of(bo.get(reverse("floor"))).split("</h1>")[0]
    assert "Nobody is down for Glassing" in heading
