"""The figures of the morning report, against sums done by hand."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from orders.orderbook.promises import Reason
from stages.crew.models import CrewMember
from stages.floor.actions import cancel_released_board, promise_again
from stages.log.fold import Kind
from stages.turnaround.flowing import flowing
from stages.turnaround.history import history
from stages.turnaround.periods import Period, preset
from stages.turnaround.queries import passed_boards
from stages.turnaround.report import report
from stages.turnaround.taken import taken
from tests.stages.turnaround.floor import do, hours, judged_only, on_floor, route
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]

OSLO = ZoneInfo("Europe/Oslo")
HOUR = 3600
TWO_DAYS = Period(date(2026, 3, 2), date(2026, 3, 3), OSLO)
WEDNESDAY = hours(52)


@pytest.fixture
def short(world):
    return route(world, "Short", "Shaping", "Glassing", "QC")


@pytest.fixture
def qc_only(world):
    return route(world, "QC alone", "QC")


@pytest.fixture
def two_boards(world, short):
    """Both released Monday 09:00 local. The first takes 24.5 h, the second 29 h.

    first:  queue 2 + 1 + 1, touch 2 + 2 + 0.5, rest 16
    second: queue 1 + 1 + 0 + 4, touch 2 + 2 + 1, rest 16, held 2
    """
    first = on_floor(world, short, promised_on=date(2026, 3, 3))
    do(world, first, world.inka, 2, 4)
    do(world, first, world.bo, 5, 7)
    do(world, first, world.quin, 24, 24.5, Kind.PASSED)
    second = on_floor(world, short, promised_on=date(2026, 3, 2))
    world.log(second, Kind.HELD, world.mara, hours(1), payload={"reason": "blank is wrong"})
    world.log(second, Kind.LET_GO, world.mara, hours(3))
    do(world, second, world.inka, 4, 6)
    do(world, second, world.bo, 6, 8)
    do(world, second, world.quin, 28, 29, Kind.PASSED)
    return first, second


def test_turnaround_runs_from_release_to_the_qc_pass(two_boards):
    assert (24 * history(TWO_DAYS).days).tolist() == [24.5, 29]


def test_a_board_belongs_to_the_period_its_qc_pass_falls_in(two_boards):
    monday_only = Period(date(2026, 3, 2), date(2026, 3, 2), OSLO)
    tuesday_only = Period(date(2026, 3, 3), date(2026, 3, 3), OSLO)
    assert report(period=monday_only, now=WEDNESDAY).boards == 0
    assert report(period=tuesday_only, now=WEDNESDAY).boards == 2


def test_two_boards_are_too_few_for_any_percentile_and_the_page_says_how_many_it_needs(two_boards):
    # smallest n with 1 - p^n - (1-p)^n >= 0.95: Conover, Practical Nonparametric Statistics
    found = taken(period=TWO_DAYS, now=WEDNESDAY).percentiles
    assert [(p.estimate, p.needs) for p in found] == [(None, 6), (None, 14), (None, 59)]


def test_six_boards_give_a_median_between_the_shortest_and_the_longest(world, qc_only):
    for days in (1, 2, 3, 4, 5, 6):
        judged_only(world, days, by_route=qc_only)
    now = MONDAY + timedelta(days=7)
    median, p80, _ = taken(period=preset("4w", today=now.date(), zone=OSLO), now=now).percentiles
    assert median.estimate.value == pytest.approx(3.5)
    assert (median.estimate.low, median.estimate.high) == pytest.approx((1, 6))
    assert median.estimate.confidence == pytest.approx(1 - 2 * 0.5**6)
    assert p80.estimate is None


def test_every_hour_is_queue_touch_rest_held_or_away_at_one_stage(two_boards):
    found = taken(period=TWO_DAYS, now=WEDNESDAY)
    hours_each = {
        stage.name: [seconds / HOUR for seconds in stage.mean.values()] for stage in found.stages
    }
    assert hours_each == {
        "Shaping": [2, 2, 0, 1, 0],
        "Glassing": [0.5, 2, 16, 0, 0],
        "QC": [2.5, 0.75, 0, 0, 0],
    }
    assert list(found.mean) == ["queue", "touch", "rest", "held", "away"]
    assert sum(found.mean.values()) / HOUR == (24.5 + 29) / 2
    assert found.efficiency == pytest.approx(9.5 / 53.5)
    assert report(period=TWO_DAYS, now=WEDNESDAY).efficiency == found.efficiency


def test_one_of_two_boards_kept_its_promise(two_boards):
    share = report(period=TWO_DAYS, now=WEDNESDAY).on_time
    assert (share.hits, share.n) == (1, 2)
    # Wilson's interval worked by hand with z = 1.96: (0.5 -+ 0.4055)
    assert (share.low, share.high) == pytest.approx((0.0945, 0.9055), abs=1e-3)


def test_a_pass_after_local_midnight_is_a_day_late_though_utc_says_otherwise(world, qc_only):
    board = on_floor(world, qc_only, promised_on=date(2026, 3, 3))
    do(world, board, world.quin, 39, 39.5, Kind.PASSED)  # 3 March 23:30 UTC, 4 March local
    fourth = Period(date(2026, 3, 4), date(2026, 3, 4), OSLO)
    figures = report(period=fourth, now=hours(60))
    assert (figures.on_time.hits, figures.on_time.n) == (0, 1)
    assert passed_boards(fourth)[0].late_days(OSLO) == 1


def test_a_moved_promise_is_told_and_the_share_against_the_first_stands_beside_it(
    world, two_boards, short
):
    third = on_floor(world, short, promised_on=date(2026, 3, 2))
    promise_again(
        board=third, on=date(2026, 3, 9), why=Reason("material"), by=world.mara, at=hours(1)
    )
    do(world, third, world.inka, 2, 4)
    do(world, third, world.bo, 5, 7)
    do(world, third, world.quin, 24, 24.5, Kind.PASSED)
    figures = report(period=TWO_DAYS, now=WEDNESDAY)
    assert (figures.on_time.hits, figures.on_time.n) == (2, 3)
    assert figures.moved == 1
    assert (figures.on_time_first.hits, figures.on_time_first.n) == (1, 3)


def test_boards_that_rest_overnight_stand_at_the_stage_they_were_finished_at(two_boards):
    found = flowing(period=TWO_DAYS, now=WEDNESDAY)
    assert list(found.stages.values()) == ["Shaping", "Glassing", "QC"]
    assert found.counts.tolist() == [[0, 2, 0], [0, 0, 0]]
    # both came; nothing had left on the first evening, both on the second
    assert (found.left.tolist(), found.came.tolist()) == ([0, 2], [2, 2])


def test_littles_law_holds_exactly_over_days_that_start_and_end_empty(two_boards):
    law = flowing(period=TWO_DAYS, now=WEDNESDAY).law
    assert (law.exact.at_start, law.exact.at_end) == (0, 0)
    assert law.per_day == 1
    assert law.average_days == pytest.approx(26.75 / 24)
    assert law.average_wip == pytest.approx(53.5 / 48)
    assert law.words == "just as many"


def test_a_floor_that_fills_tells_what_explains_the_gap_of_littles_law(world, short, qc_only):
    # by hand: one released Monday 09:00, there to the end of Tuesday: 39 h in the period; one
    # passes after 24 h of it. L = 63/48, lambda = 1/2 a day, W = 1 day.
    on_floor(world, short)
    judged_only(world, 1, by_route=qc_only)
    law = flowing(period=TWO_DAYS, now=WEDNESDAY).law
    assert (law.average_wip, law.per_day, law.average_days) == (63 / 48, 0.5, 1)
    assert (law.exact.at_start, law.exact.at_end) == (0, 1)
    assert (law.before_boards, law.staying_boards) == (0, 39 / 48)
    assert law.words == "0.8 more"
    assert law.expected_days == pytest.approx(2.625)


def test_boards_still_in_process_slow_the_median_that_the_passed_alone_tell(world, short, qc_only):
    # six pass after 1 to 6 days, six still stand there after 7. Of twelve, a half is done on the
    # sixth day, where half of those that passed took 3.5. The curve: (12 - k) / 12 after day k.
    for days in (1, 2, 3, 4, 5, 6):
        judged_only(world, days, by_route=qc_only)
        on_floor(world, short)
    now = MONDAY + timedelta(days=7)
    found = taken(period=preset("4w", today=now.date(), zone=OSLO), now=now).unfinished
    assert (found.curve.n, found.curve.done, found.open) == (12, 6, 6)
    assert found.compared[0].passed_only.value == pytest.approx(3.5)
    assert (found.passed * 24).tolist() == pytest.approx([24, 48, 72, 96, 120, 144])
    assert found.compared[0].all_boards.value == pytest.approx(6)
    assert found.compared[1].all_boards.value is None
    assert found.curve.share[:6].tolist() == pytest.approx([(12 - k) / 12 for k in range(1, 7)])


def test_a_board_given_up_counts_among_the_unfinished_only_until_then(world, short, qc_only):
    gone = on_floor(world, short)
    cancel_released_board(board=gone, reason="rider moved", by=world.mara, at=hours(30))
    judged_only(world, 2, by_route=qc_only)
    found = taken(period=TWO_DAYS, now=WEDNESDAY).unfinished
    assert (found.curve.n, found.curve.done) == (2, 1)
    # the one left at risk on the second day passes then: nobody is in process any more
    assert found.curve.times.tolist() == pytest.approx([30 / 24, 2])
    assert found.curve.share.tolist() == [1, 0]


def test_a_board_qc_sent_back_from_the_rack_has_not_passed(world, two_boards):
    first, _ = two_boards
    world.log(first, Kind.SENT_BACK, world.quin, hours(40), payload={"to": 1, "defect": "pinhole"})
    assert history(TWO_DAYS).boards.tolist() == [two_boards[1].pk]


def test_a_cancelled_board_stood_on_the_floor_until_it_was_cancelled(world, short):
    board = on_floor(world, short)
    cancel_released_board(board=board, reason="rider moved", by=world.mara, at=hours(30))
    assert flowing(period=TWO_DAYS, now=WEDNESDAY).totals.tolist() == [1, 0]
    assert report(period=TWO_DAYS, now=WEDNESDAY).boards == 0


def test_a_cancelled_board_that_rested_leaves_its_rack_when_it_is_cancelled(world, short):
    board = on_floor(world, short)
    do(world, board, world.inka, 2, 4)
    do(world, board, world.bo, 5, 7)  # rests until Tuesday 08:00 local
    cancel_released_board(board=board, reason="rider moved", by=world.mara, at=hours(8))
    assert flowing(period=TWO_DAYS, now=WEDNESDAY).totals.tolist() == [0, 0]


def test_weeks_run_from_monday_and_a_week_in_part_says_so(two_boards):
    figures = report(period=Period(date(2026, 2, 23), date(2026, 3, 3), OSLO), now=WEDNESDAY)
    assert [(w.monday, w.boards, w.kept, w.late, w.whole) for w in figures.weeks] == [
        (date(2026, 2, 23), 0, 0, 0, True),
        (date(2026, 3, 2), 2, 1, 1, False),
    ]
    assert figures.per_week == pytest.approx(7 * 2 / 9)


def test_the_stage_with_most_days_of_work_holds_the_factory_back(world, short):
    # 4 boards x 135 min = 9 h of shaping; Inka's day is 240 + 210 min = 7.5 h: 1.2 days
    for _ in range(4):
        on_floor(world, short)
    load = report(period=TWO_DAYS, now=hours(0.5)).load
    assert load.verdict.text == (
        "Shaping holds the factory back: 4 boards wait, about 9 working hours of work "
        "for 7.5 available a day."
    )
    shaping = next(row for row in load.rows if row.is_bottleneck)
    assert shaping.load.work.waiting_min == 540
    assert shaping.load.days == pytest.approx(1.2)
    assert shaping.crew == ["Inka"]


def test_with_the_shaper_away_nobody_is_down_for_shaping(world, short):
    on_floor(world, short)
    CrewMember.objects.filter(user=world.inka).update(
        away_from=date(2026, 3, 1), away_until=date(2026, 3, 8)
    )
    said = report(period=TWO_DAYS, now=hours(0.5)).load.verdict.text
    assert said.startswith("Nobody is down for Shaping today: 1 board waits")


def test_an_empty_factory_has_a_report_too(world):
    year = preset("1y", today=date(2026, 3, 2), zone=OSLO)
    figures = report(period=year, now=MONDAY)
    assert figures.load.verdict.text == "Nothing is waiting."
    assert (figures.boards, figures.median.estimate, figures.efficiency) == (0, None, None)
    found = taken(period=year, now=MONDAY)
    assert (found.stages, found.unfinished) == ([], None)
    assert flowing(period=year, now=MONDAY).law.average_days is None


def test_a_period_keeps_to_local_midnights_when_the_clocks_change():
    # Europe/Oslo goes from UTC+1 to UTC+2 on 29 March 2026: that day has 23 hours
    day = Period(date(2026, 3, 29), date(2026, 3, 29), OSLO)
    assert day.end - day.start == timedelta(hours=23)
    assert timezone.is_aware(day.start)
