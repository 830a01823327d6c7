"""One board put before all others, and what it costs them."""

from datetime import date

import pytest

from orders.orderbook.models import Board
from stages.forecast.forecast import play, standing_now
from stages.morning.ahead import Ahead, Comparison, put_first
from stages.scan.queries import _listed
from tests.stages.morning.conftest import FRIDAY
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


def compare(number: int) -> Ahead:
    floor = standing_now(now=MONDAY)
    return Comparison(floor, play(floor)).ahead(number)


def test_the_last_in_the_queue_put_first_is_saved_and_those_it_passes_pay(busy):
    *passed, last = [board.number for board in busy.boards]
    ahead = compare(last)
    assert ahead.itself.number == last and ahead.itself.helps and ahead.saves
    assert ahead.itself.chance_before < 0.8 <= ahead.itself.chance_after
    assert ahead.itself.day_after < ahead.itself.day_before
    assert ahead.costs and {cost.number for cost in ahead.costs} <= set(passed)
    assert all(
        cost.chance_after < cost.chance_before or cost.day_after > cost.day_before
        for cost in ahead.costs
    )


def test_the_first_in_the_queue_gains_nothing_and_costs_nobody(busy):
    ahead = compare(busy.boards[0].number)
    assert not ahead.itself.helps and ahead.costs == [] and ahead.falls == 0


def test_promises_that_fall_under_the_line_are_counted(busy):
    ahead = compare(busy.boards[-1].number)
    fallen = [cost for cost in ahead.costs if cost.chance_after < 0.8 <= cost.chance_before]
    assert ahead.falls == len(fallen)


def test_what_is_kept_of_a_comparison_reads_back_the_same(busy):
    ahead = compare(busy.boards[-1].number)
    assert Ahead.of_plain(ahead.plain()) == ahead


def test_the_simulation_puts_it_where_every_queue_does(world):
    """First in line go before all others, among themselves by promise and number."""
    made = [
        world.released(promised_on=on)
        for on in (FRIDAY, date(2026, 3, 20), None, date(2026, 3, 12), FRIDAY)
    ]
    Board.objects.filter(pk__in=[made[1].pk, made[2].pk]).update(first_in_line=True)
    for board in made:
        floor = standing_now(now=MONDAY)
        first = frozenset({made[1].number, made[2].number})
        played = put_first(floor, floor.numbers.index(board.number), first=first)
        by_rank = sorted(range(len(made)), key=lambda at, p=played: p.boards[at].rank)
        Board.objects.filter(pk=board.pk).update(first_in_line=True)
        queue = [row.board.number for row in _listed()]
        assert [played.numbers[at] for at in by_rank] == queue
        Board.objects.filter(pk=board.pk).update(first_in_line=board in (made[1], made[2]))
