"""The first minutes of a manager's day: what is in danger, why, and what to do about it."""

import html
import re
import uuid
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.orderbook.models import Board
from stages.crew.models import CrewMember, DaysOff
from stages.floor.actions import hand_over
from stages.forecast.models import ForecastKept, ForecastSettings
from stages.log.fold import Kind
from tests.stages.morning.conftest import FRIDAY
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


def text_of(answer) -> str:
    words = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", html.unescape(words))


def morning(client) -> str:
    return text_of(client.get(reverse("morning")))


def in_line(client, board, first: str, **more):
    data = {"first": first, "ref": str(uuid.uuid4()), **more}
    return client.post(reverse("put-in-line", args=[board.number]), data, follow=True)


def test_a_quiet_morning_says_so(world, mara, monday):
    world.released()
    page = morning(mara)
    assert "No promise is in danger, and no board is late." in page
    assert "0 people are away today" in page and "0 boards held" in page


def test_the_first_sentence_counts_what_is_late_and_in_danger_and_names_the_bottleneck(busy, mara):
    busy.released(promised_on=date(2026, 2, 27))
    page = morning(mara)
    saved = r"(?: \d+ of those in danger (?:is|are) beyond saving \.)?"
    said = rf"(\d+) promises in danger , 1 board late already \.{saved} (\w+) holds"
    danger = re.search(said, page)
    assert int(danger[1]) >= 2 and danger[2] == "Shaping"
    assert "3 days late promised Fri 27 Feb" in page


def test_each_board_stands_in_one_list(busy, mara):
    busy.released(promised_on=date(2026, 2, 27))
    busy.released(promised_on=MONDAY.date())
    shown = mara.get(reverse("morning")).context["morning"]
    lists = [shown.late, shown.danger, shown.tell]
    assert all(lists)
    numbers = [one.board.number for some in lists for one in some]
    assert len(numbers) == len(set(numbers))
    page = mara.get(reverse("morning")).content.decode()
    assert all(page.count(f'id="board-{number}"') == 1 for number in numbers)
    assert f'href="tel:{busy.rider.phone}"' in page


def test_each_board_in_danger_says_for_whom_by_when_and_what_it_waits_for(busy, mara):
    page = morning(mara)
    last = busy.boards[-1].number
    told = page.split(f" {last} ")[1]
    assert "for Åse Tangvær" in told and "promised Fri 6 Mar" in told
    assert re.search(r"▲ \d+ % chance", told) and re.search(r"done by \w+ \d+ Mar \(80 %\)", told)
    waits = r"Waits longest for \w+: on average [\d.]+ days? of the [\d.]+ days? left\."
    assert re.search(waits, told)


def test_what_would_help_is_asked_for_a_board_where_it_was_not_kept(busy, mara):
    last = busy.boards[-1]
    assert "What if it goes first?" in morning(mara)
    page = mara.get(reverse("ahead", args=[last.number]))
    assert f"If board {last.number} goes first" in text_of(page)
    part = mara.get(reverse("ahead", args=[last.number]), headers={"HX-Request": "true"})
    said = text_of(part)
    assert "<html" not in part.content.decode()
    assert re.search(rf"Put {last.number} first: its chance goes from \d+ % to \d+ %", said)
    assert re.search(r"Costs:.* \d+ for Åse Tangvær *: from \d+ % to \d+ %", said)
    assert "Put it first" in said


def test_what_was_kept_stands_on_the_page_with_its_time(busy, mara, keep):
    keep()
    page = morning(mara)
    assert "As of 09:00" in page and "Put it first" in page
    assert "Something has changed" not in page


def test_a_board_put_first_is_first_in_every_queue_and_its_history_says_who(busy, mara, as_):
    last, first = busy.boards[-1], busy.boards[0]
    assert f"Board {last.number} is first in line in every bay." in text_of(
        in_line(mara, last, "1")
    )
    floor = mara.get(reverse("floor")).content.decode()
    order = re.findall(r'data-board="(\d+)"', floor)
    assert order.index(str(last.number)) < order.index(str(first.number))
    queue = text_of(as_(busy.inka).get(reverse("scan")))
    assert queue.index(str(last.number)) < queue.index(str(first.number))
    history = text_of(mara.get(reverse("board", args=[last.number])))
    assert "Mara put it first in line." in history
    assert "1 board first in line" in morning(mara)


def test_it_waits_its_turn_again_when_that_is_taken_back(busy, mara):
    board = busy.boards[-1]
    in_line(mara, board, "1")
    assert f"Board {board.number} waits its turn again." in text_of(in_line(mara, board, "0"))
    assert not Board.objects.get(pk=board.pk).first_in_line
    history = text_of(mara.get(reverse("board", args=[board.number])))
    assert "Mara let it wait its turn again." in history


def test_pressing_twice_is_one_entry(busy, mara):
    board, ref = busy.boards[-1], str(uuid.uuid4())
    in_line(mara, board, "1", ref=ref)
    in_line(mara, board, "1", ref=ref)
    assert board.entries.filter(kind=Kind.NOTED).count() == 1


def test_only_a_board_with_a_queue_left_can_be_put_first(busy, mara):
    ordered = busy.ordered()
    assert "not on the floor yet" in text_of(in_line(mara, ordered, "1"))
    at = busy.worked(busy.boards[0], until="rack")
    assert "is done: no queue is left" in text_of(in_line(mara, busy.boards[0], "1"))
    hand_over(board=busy.boards[0], by=busy.cleo, at=at)
    assert "is done: no queue is left" in text_of(in_line(mara, busy.boards[0], "1"))
    assert "is waiting its turn already" in text_of(in_line(mara, busy.boards[1], "0"))
    assert "Say whether" in text_of(in_line(mara, busy.boards[1], "perhaps"))
    assert not Board.objects.filter(first_in_line=True).exists()


def test_a_change_after_the_answer_is_said_and_the_newer_one_offered(busy, mara, keep):
    seen = {"seen": keep().at.isoformat()}
    assert mara.get(reverse("morning-newer"), seen).status_code == 204
    busy.log(busy.boards[0], Kind.TAKEN, busy.inka, MONDAY)
    assert "Something has changed since then" in morning(mara)
    assert mara.get(reverse("morning-newer"), seen).status_code == 204
    ForecastKept.objects.update(at=MONDAY - timedelta(seconds=1))
    seen = {"seen": (MONDAY - timedelta(minutes=2)).isoformat()}
    assert "A newer answer is there, as of 08:59" in text_of(
        mara.get(reverse("morning-newer"), seen)
    )
    assert mara.get(reverse("morning-newer"), {"seen": "yesterday"}).status_code == 204


def test_dates_too_says_that_something_changed_after_its_answer(busy, mara, keep):
    keep()
    assert 'id="moved"' not in mara.get(reverse("dates")).content.decode()
    busy.log(busy.boards[0], Kind.TAKEN, busy.inka, MONDAY)
    assert 'id="moved"' in mara.get(reverse("dates")).content.decode()


def test_a_chance_that_fell_since_yesterday_shows_what_it_was(busy, mara, keep, monday):
    last = busy.boards[-1].number
    keep()
    kept = ForecastKept.objects.get()
    for row in kept.boards:
        row["chance"] = 0.95
    kept.day, kept.at = kept.day - timedelta(days=1), kept.at - timedelta(days=1)
    kept.save()
    assert ", 95 % yesterday" in morning(mara).split(f" {last} ")[1]


def test_the_day_in_lines(world, mara, monday):
    """Who is away, what is held, what rests, what may be released: each opens to its boards."""
    held = world.released()
    world.log(held, Kind.HELD, world.mara, MONDAY, payload={"reason": "cloth to come"})
    DaysOff.objects.create(
        member=CrewMember.objects.get(user=world.bo), first=MONDAY.date(), last=FRIDAY
    )
    for _ in range(3):
        world.ordered(promised_on=date(2026, 6, 1))
    page = morning(mara)
    assert "1 person is away today Bo is away until Fri 6 Mar (Fin boxes, Glassing" in page
    assert f"1 board held {held.number} since today: cloth to come" in page
    assert "3 boards to release, of 3 in the order book: the floor has no limit" in page
    ForecastSettings.objects.create(pk=1, floor_limit=3)
    page = morning(mara)
    assert "2 boards to release, of 3 in the order book: 1 on the floor, 3 is its limit" in page


def test_a_rest_that_ends_today_is_a_board_that_comes_free(world, mara, monday):
    board = world.released()
    start = MONDAY - timedelta(days=4)
    at = world.worked(board, until="Sanding", start=start)
    assert "0 boards free today" in morning(mara)
    monday.move_to(at)
    page = morning(mara)
    ends = board.position.rests_until
    assert ends.date() in {at.date(), at.date() + timedelta(days=1)}
    monday.move_to(ends - timedelta(minutes=5))
    assert re.search(rf"1 board free today after a rest {board.number} rests to", morning(mara))
    monday.move_to(ends + timedelta(minutes=5))
    assert f"1 board free today after a rest {board.number} free since" in morning(mara)
    assert page


def test_more_boards_in_danger_cost_no_more_queries(busy, mara, keep):
    def queries() -> int:
        with CaptureQueriesContext(connection) as captured:
            mara.get(reverse("morning"))
        return len(captured)

    keep()
    mara.get(reverse("morning"))
    few = queries()
    for board in busy.boards[:2]:
        busy.log(board, Kind.HELD, busy.mara, MONDAY, payload={"reason": "cloth to come"})
    for _ in range(6):
        busy.released(promised_on=FRIDAY)
    keep()
    assert queries() == few


def test_the_floor_marks_what_is_in_danger_for_those_who_can_do_something(busy, keep, as_):
    keep()
    last = busy.boards[-1].number
    for person, sees in ((busy.mara, True), (busy.cleo, True), (busy.inka, False)):
        page = as_(person).get(reverse("floor")).content.decode()
        said = re.search(rf'data-board="{last}" aria-label="([^"]*)"', page)[1]
        assert said.endswith("promise in danger") is sees
        assert ("in danger.</" in page.replace("</span>", "</")) is sees


def test_the_floor_is_shown_again_when_other_boards_come_into_danger(busy, mara, keep):
    seen = {"seen": mara.get(reverse("floor")).context["version"]}
    assert mara.get(reverse("floor-racks"), seen).status_code == 204
    keep()
    answer = mara.get(reverse("floor-racks"), seen)
    assert answer.status_code == 200 and "promise in danger" in answer.content.decode()
    seen = {"seen": mara.get(reverse("floor")).context["version"]}
    assert mara.get(reverse("floor-racks"), seen).status_code == 204
