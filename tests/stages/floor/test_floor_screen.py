"""The floor as racks: who has what, what is late, and how little it costs to look again."""

import re
from datetime import date, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stages.floor.actions import hand_over
from stages.floor.queries import floor_version
from stages.log.fold import Kind
from stages.log.models import Position
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]
NOON = MONDAY + timedelta(days=10)
# Several processes may serve from PostgreSQL, and each request reads its session from there.
SESSION = 0 if connection.vendor == "sqlite" else 1


@pytest.fixture
def at_noon():
    with time_machine.travel(NOON, tick=False):
        yield


@pytest.fixture
def mara(client, world, at_noon):
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    client.get(reverse("floor"))
    return client


def bay(page: str, name: str) -> str:
    """The section of one bay."""
    return next(s for s in page.split("<section")[1:] if f">{name}</h2>" in s)


def said_of(page: str, number: int) -> str:
    return re.search(rf'data-board="{number}" aria-label="([^"]*)"', page).group(1)


def shown(client) -> str:
    return client.get(reverse("floor")).content.decode()


def test_a_board_in_hand_says_who_has_it_since_when_and_for_which_day(mara, world):
    board = world.released()
    world.log(board, Kind.TAKEN, world.inka, NOON - timedelta(minutes=12))
    page = shown(mara)
    assert said_of(page, board.number) == (
        f"{board.number}, 6&#x27;2&quot; squash, in hand with Inka since 08:48, "
        "promised Fri 10 Apr"
    )
    since = (NOON - timedelta(minutes=12)).isoformat()
    assert f'Inka <time data-since="{since}">12 min</time>' in bay(page, "Shaping")
    assert "1 in hand" in bay(page, "Shaping")


def test_boards_wait_in_the_order_they_are_promised_after_those_in_hand(mara, world):
    later = world.released(promised_on=date(2026, 5, 4))
    soon = world.released(promised_on=date(2026, 4, 1))
    never = world.released(promised_on=None)
    taken = world.released(promised_on=date(2026, 6, 1))
    world.log(taken, Kind.TAKEN, world.inka, NOON)
    order = [int(n) for n in re.findall(r'data-board="(\d+)"', bay(shown(mara), "Shaping"))]
    assert order == [b.number for b in (taken, soon, later, never)]


def test_a_late_board_says_so_in_words_and_the_sentence_on_top_counts_it(mara, world):
    board = world.released(promised_on=date(2026, 3, 10))
    world.released(promised_on=date(2026, 3, 12))
    page = shown(mara)
    assert "2 days late" in said_of(page, board.number)
    assert "1 board is late." in page
    only_late = mara.get(reverse("floor"), {"show": "late"}).content.decode()
    assert re.findall(r'data-board="(\d+)"', only_late) == [str(board.number)]


def test_a_resting_board_stands_where_it_was_glassed_until_its_rest_ends(mara, world):
    board = world.released()
    start = NOON - timedelta(hours=16)
    world.worked(board, until="Glassing", start=start - timedelta(days=2))
    world.log(board, Kind.TAKEN, world.bo, start - timedelta(hours=1))
    world.log(board, Kind.FINISHED, world.bo, start + timedelta(minutes=30))
    page = shown(mara)
    assert "rests to 09:30" in said_of(page, board.number)
    assert f'data-board="{board.number}"' in bay(page, "Glassing")
    with time_machine.travel(NOON + timedelta(minutes=31), tick=False):
        page = shown(mara)
    assert f'data-board="{board.number}"' in bay(page, "Sanding")
    assert "waiting since 09:30" in said_of(page, board.number)


def test_a_held_board_shows_its_reason_and_nothing_typed_is_taken_for_markup(mara, world):
    board = world.released()
    world.log(board, Kind.HELD, world.mara, NOON, payload={"reason": "cloth <b>late</b>"})
    page = shown(mara)
    assert "Held: cloth &lt;b&gt;late&lt;/b&gt;" in bay(page, "Shaping")
    assert "<b>late" not in page


def test_a_ready_board_waits_on_the_ready_rack_until_it_is_handed_over(mara, world):
    board = world.released()
    at = world.worked(board, until="rack")
    assert f'data-board="{board.number}"' in bay(shown(mara), "Ready")
    hand_over(board=board, by=world.cleo, at=at)
    assert f'data-board="{board.number}"' not in shown(mara)


def test_every_board_is_drawn_to_one_scale(mara, world):
    world.released()
    world.released(length_nm=2 * 1_219_200_000, nose_nm=None, tail_nm=None)
    sizes = re.findall(
        r'viewBox="\S+ \S+ (\S+) (\S+)" width="(\S+)" height="(\S+)"', shown(mara)
    )
    scales = {round(float(px) / float(mm), 3) for _, mm, _, px in sizes}
    assert len(sizes) == 2
    assert scales == {0.05}


def test_the_sentence_names_the_stage_that_holds_the_factory_back(mara, world):
    for _ in range(5):
        world.released()
    assert "Shaping holds the factory back: 5 boards wait" in shown(mara)


def test_looking_again_at_an_unmoved_floor_is_one_query_and_no_answer(
    mara, world, django_assert_num_queries
):
    world.released()
    seen = mara.get(reverse("floor")).context["version"]
    with django_assert_num_queries(1 + SESSION):
        answer = mara.get(reverse("floor-racks"), {"seen": seen}, headers={"HX-Request": "true"})
    assert (answer.status_code, answer.content) == (204, b"")


def test_looking_again_after_an_entry_brings_the_racks_and_not_the_page(mara, world):
    board = world.released()
    seen = mara.get(reverse("floor")).context["version"]
    world.log(board, Kind.TAKEN, world.inka, NOON)
    answer = mara.get(reverse("floor-racks"), {"seen": seen}, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    assert "in hand with Inka" in answer.content.decode()
    assert "<html" not in answer.content.decode()


def test_the_version_moves_with_entries_ended_rests_and_midnight(world, at_noon):
    board = world.released()
    at = world.worked(board, until="Sanding")
    day = date(2026, 3, 3)
    resting = floor_version(now=at + timedelta(hours=1), today=day)
    assert floor_version(now=at + timedelta(hours=2), today=day) == resting
    assert floor_version(now=at + timedelta(hours=17), today=day) != resting
    assert floor_version(now=at + timedelta(hours=1), today=date(2026, 3, 4)) != resting
    world.log(board, Kind.HELD, world.mara, at, payload={"reason": "cloth"})
    assert floor_version(now=at + timedelta(hours=1), today=day) != resting


def test_a_fuller_floor_costs_no_more_queries(mara, world):
    def queries() -> int:
        with CaptureQueriesContext(connection) as captured:
            mara.get(reverse("floor"))
        return len(captured)

    one = world.released()
    world.log(one, Kind.TAKEN, world.inka, NOON)
    few = queries()
    for _ in range(6):
        board = world.released()
        world.worked(board, until="Glassing")
        world.log(board, Kind.HELD, world.mara, NOON, payload={"reason": "cloth"})
    assert queries() == few


@pytest.mark.skipif(connection.vendor != "sqlite", reason="reads SQLite's own query plan")
def test_boards_that_left_the_floor_are_never_read(world):
    on_floor = Position.objects.filter(on_floor=True)
    plan = on_floor.values_list("seq").explain()
    assert "USING INDEX" in plan
    assert re.search(r"USING INDEX (position_on_floor|in_hands)", plan)


def test_the_crew_sees_the_floor_and_a_stranger_signs_in_first(client, world):
    assert client.get(reverse("floor")).status_code == 302
    client.force_login(world.bo, backend="orders.accounts.backends.PasswordBackend")
    assert client.get(reverse("floor")).status_code == 200
