"""The floor a question is asked of, and the orders still to come."""

from datetime import timedelta

from stages.flow.intake import FIRST_KEY, WEEK
from stages.whatif.ground import ground_now, past_orders


def test_the_floor_has_each_board_with_its_promise_and_its_release(floor):
    ground = ground_now(now=floor.now)
    assert sorted(ground.numbers) == sorted(b.number for b in [*floor.there, *floor.waiting])
    here = dict(zip(ground.numbers, ground.floor.released, strict=True))
    assert [here[board.number] / -1440 for board in floor.there] == [26.0, 15.0, 1.0]
    assert {here[board.number] for board in floor.waiting} == {None}
    # Promised for 10 April in Skarvika: until its midnight, which is 22:00 UTC in summer time.
    (due,) = set(ground.floor.due)
    assert floor.now + timedelta(minutes=due) == floor.now.replace(month=4, day=10, hour=22)


def test_past_orders_are_the_weeks_they_came_in(floor):
    past = past_orders(now=floor.now)
    # Two hours ago twice, a day, 15 and 26 days ago: three whole weeks, the newest first, and the
    # oldest board falls into the one that is not whole.
    assert [len(week) for week in past.weeks] == [3, 0, 1]
    assert [board.at for board in past.weeks[0]] == [WEEK - 1440, WEEK - 120, WEEK - 120]
    steps = {board.steps for week in past.weeks for board in week}
    (own,) = {board.steps for board in ground_now(now=floor.now).floor.boards}
    assert steps == {own}  # as the route gives them today


def test_orders_to_come_have_no_number_of_a_real_board(floor):
    ground = ground_now(now=floor.now)
    draws = ground.orders()
    assert len(draws) == 4 and any(draws)
    assert all(order.board.key >= FIRST_KEY for draw in draws for order in draw)


def test_a_new_factory_has_no_orders_to_come(world):
    ground = ground_now(now=world.rider.added_at)
    assert ground.past.a_week == 0.0
    assert ground.orders()[0] == [] and ground.floor.boards == ()


def test_a_years_orders_are_read_in_a_few_queries(floor, django_assert_max_num_queries):
    with django_assert_max_num_queries(60):
        past_orders(now=floor.now)
    with django_assert_max_num_queries(0):
        past_orders(now=floor.now)


def test_hands_and_stages_are_whose_they_are_whatever_they_are_called_by_now(floor):
    ground_now(now=floor.now)
    type(floor.bo).objects.filter(pk=floor.bo.pk).update(name="Zoe")  # told to no cache
    ground = ground_now(now=floor.now)
    for member, hand in zip(ground.people, ground.floor.crew, strict=True):
        able = {ground.stages[index] for index in hand.pace}
        assert able == set(member.skills.all())
    assert "Zoe" in {str(member) for member in ground.people}


def test_a_floor_kept_from_before_somebody_left_is_read_anew(floor):
    ground_now(now=floor.now)
    type(floor.bo).objects.filter(pk=floor.bo.pk).update(is_active=False)  # told to no cache
    ground = ground_now(now=floor.now)
    assert len(ground.people) == len(ground.floor.crew) == 3
