"""Two at the counter reach for the same foam at the same moment."""

from functools import partial

import pytest
from django.core.exceptions import ValidationError

from orders.blanks.actions import count_blanks, reserve_blank
from orders.blanks.models import BlankMovement, BlankReservation
from tests.at_once import at_once
from tests.orders.blanks.making import kept
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgresql]


def refused_of(*deeds) -> list[str]:
    """Does them all at the same moment; the sentences of those that were refused."""

    def refusal(deed) -> str:
        try:
            deed()
        except ValidationError as error:
            return " ".join(error.messages)
        return ""

    told = at_once([partial(refusal, deed) for deed in deeds])
    assert None not in told
    return [sentence for sentence in told if sentence]


def figures(blank):
    blank.refresh_from_db()
    return blank.on_hand, blank.reserved


@pytest.mark.parametrize("_again", range(3))
def test_two_blanks_for_five_boards_go_to_two_of_them(world, _again):
    blank = kept(on_hand=2)
    boards = [world.ordered() for _ in range(5)]
    refused = refused_of(*(
        lambda board=board: reserve_blank(board=board, blank=blank, by=world.cleo, at=MONDAY)
        for board in boards))
    assert refused == ["No 6'6 K is left: all are set aside or used."] * 3
    assert figures(blank) == (2, 2)
    assert BlankReservation.objects.count() == BlankMovement.objects.count() == 2


@pytest.mark.parametrize("_again", range(3))
def test_one_board_gets_one_blank_whoever_chooses_last(world, _again):
    one, other, board = kept(), kept("6'8 K", length=2030), world.ordered()
    refused = refused_of(
        lambda: reserve_blank(board=board, blank=one, by=world.cleo, at=MONDAY),
        lambda: reserve_blank(board=board, blank=other, by=world.mara, at=MONDAY))
    assert not refused
    kept_for = BlankReservation.objects.get(ended_at=None)
    assert figures(kept_for.blank) == (2, 1)
    assert figures(other if kept_for.blank == one else one) == (2, 0)


@pytest.mark.parametrize("_again", range(3))
def test_a_count_and_a_choice_at_once_never_leave_less_than_is_set_aside(world, _again):
    blank, board = kept(on_hand=3), world.ordered()
    refused = refused_of(
        lambda: reserve_blank(board=board, blank=blank, by=world.cleo, at=MONDAY),
        lambda: count_blanks(blank=blank, number=0, by=world.mara, at=MONDAY))
    assert len(refused) == 1
    assert figures(blank) in [(3, 1), (0, 0)]
