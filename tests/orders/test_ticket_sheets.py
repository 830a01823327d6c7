"""What stands on the paper, from the database."""

from datetime import date

import pytest
from django.test import override_settings

from orders.customers.models import CustomerKind
from orders.factory.models import Factory
from orders.tickets.sheets import FromTheBays, live_tickets, scan_address, sheet_of

pytestmark = pytest.mark.django_db
BAYS = FromTheBays(steps=["Shaping", "QC"], groups=[("Shaping", [("Rail", "Medium")])])


def paper(board):
    return sheet_of(live_tickets([board.number]).get(), factory=Factory.current(), bays=BAYS)


def test_the_paper_names_the_rider_by_the_first_name_only(world):
    sheet = paper(world.released())
    assert sheet.customer == "Åse"
    assert sheet.promised == "Fri 10 Apr 2026"
    assert sheet.dims == "6'2\" x 19 1/2 x 2 7/16"
    assert sheet.factory_name == "Gannet Rock Boards"


def test_a_shop_keeps_its_whole_name(world):
    world.rider.kind = CustomerKind.SHOP
    world.rider.name = "North Swell Shop"
    world.rider.save()
    assert paper(world.released()).customer == "North Swell Shop"


def test_a_board_without_a_date_has_none_on_paper(world):
    assert paper(world.released(promised_on=None)).promised == ""
    assert paper(world.released(promised_on=date(2027, 1, 2))).promised == "Sat 2 Jan 2027"


def test_the_outline_stands_on_its_tail_and_keeps_its_measures(world):
    sheet = paper(world.released())
    along = [x for x, _ in sheet.outline]
    across = [y for _, y in sheet.outline]
    assert min(along) == pytest.approx(0, abs=0.01)
    assert max(along) == pytest.approx(sheet.length_mm) == pytest.approx(74 * 25.4)
    assert max(across) - min(across) == pytest.approx(19.5 * 25.4, abs=0.5)


@override_settings(PUBLIC_ADDRESS="https://rack.example:8443")
def test_the_address_is_in_capitals_so_that_the_code_stays_coarse():
    assert scan_address("K7PQ2MC") == "HTTPS://RACK.EXAMPLE:8443/T/K7PQ2MC"


def test_a_void_ticket_is_not_printed(world):
    from orders.tickets.actions import issue_ticket
    from tests.world import MONDAY

    board = world.released()
    issue_ticket(board=board, by=world.cleo, at=MONDAY)
    assert live_tickets([board.number]).count() == 1
