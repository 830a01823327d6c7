"""Why a board is in danger, in sentences."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from stages.log.fold import Position, State, Step
from stages.morning.why import Off, Seen, Shut, Trip, why

OSLO = ZoneInfo("Europe/Oslo")
NOW = datetime(2026, 3, 5, 9, 0, tzinfo=UTC)  # Thursday, 10:00 in Oslo
STEPS = (
    Step(0, 1, "Shaping", 60, 0, False, finished_at=NOW - timedelta(days=2), outcome="done"),
    Step(1, 2, "Glassing", 90, 0, False),
    Step(2, 3, "QC", 15, 0, True),
)
WAITING = Position(
    seq=3, state=State.WAITING, index=1, steps=STEPS, since=NOW - timedelta(days=2),
    last_at=NOW, released_at=NOW - timedelta(days=3), revision=1,
)
SEEN = Seen(
    position=WAITING,
    held_by="",
    promised_on=date(2026, 3, 10),
    waits={"Shaping": 0.0, "Glassing": 4.24, "QC": 1.0},
    left=8.96,
    alone=date(2026, 3, 9),
    off=(),
    here={"Glassing": 1},
)


def told(**changes) -> list[str]:
    return why(replace(SEEN, **changes), now=NOW, zone=OSLO)


def moved(**changes) -> Position:
    return replace(WAITING, **changes)


def test_a_board_that_waits_names_the_stage_and_the_days_of_those_left():
    assert told() == ["Waits longest for Glassing: on average 4.2 days of the 9 days left."]


def test_one_day_is_one_day_and_long_ones_are_whole():
    assert told(waits={"QC": 1.02}, left=12.6) == [
        "Waits longest for QC: on average 1 day of the 13 days left."
    ]


def test_a_board_that_never_waits_says_that_its_own_work_is_what_takes_long():
    assert told(waits={"Glassing": 0.2}, left=3.0) == [
        "Hardly waits: its own work and rests take the 3 days left on average."
    ]


@pytest.mark.parametrize(
    ("left", "words"), [(0.01, "1 hour"), (0.3, "7 hours"), (0.94, "23 hours"), (0.96, "1 day")]
)
def test_within_a_day_hours_are_told(left, words):
    assert told(waits={}, left=left) == [
        f"Hardly waits: its own work and rests take the {words} left on average."
    ]


def test_of_a_board_that_is_away_it_is_not_said_that_its_work_takes_long():
    away = moved(state=State.AWAY, away={"bay_name": "The Line Room", "due": "2026-03-06"})
    assert told(position=away, waits={}) == ["Away at The Line Room, due back Fri 6 Mar."]


def test_a_board_further_off_than_can_be_seen_tells_no_days_left():
    assert told(left=None) == ["Waits longest for Glassing: on average 4.2 days."]


def test_a_held_board_says_why_by_whom_and_since_when():
    held = moved(state=State.HELD, held_reason="cloth to come", since=NOW - timedelta(days=3))
    assert told(position=held, held_by="Mara")[0] == (
        "Held by Mara on Mon 2 Mar, 3 days ago: cloth to come."
    )
    just = moved(state=State.HELD, held_reason="cloth to come", since=NOW)
    assert told(position=just)[0] == "Held on Thu 5 Mar 10:00: cloth to come."


@pytest.mark.parametrize(
    ("due", "says"),
    [
        ("2026-03-03", "Away at The Line Room, due back Tue 3 Mar: 2 days over."),
        ("2026-03-06", "Away at The Line Room, due back Fri 6 Mar."),
        ("2026-03-11", "Away at The Line Room, due back Wed 11 Mar, after its promise."),
    ],
)
def test_a_board_away_says_when_it_is_due_and_how_long_over_that(due, says):
    away = moved(state=State.AWAY, away={"bay_name": "The Line Room", "due": due})
    assert told(position=away)[0] == says


def test_a_board_sent_back_says_by_which_stage_and_what_is_to_be_done_again():
    steps = (
        *STEPS[:1],
        replace(STEPS[1], finished_at=NOW, outcome="done"),
        replace(STEPS[2], finished_at=NOW, outcome="sent_back"),
        replace(STEPS[1], attempt=2),
        replace(STEPS[2], attempt=2),
    )
    back = moved(steps=steps, index=3)
    assert told(position=back)[0] == "Sent back at QC: Glassing, QC still to be done again."
    twice = (*steps[:3], *(replace(s, finished_at=NOW, outcome="sent_back") for s in steps[3:]))
    assert told(position=moved(steps=twice, index=4))[0].startswith("Sent back 3 times at QC")


def test_a_resting_board_says_until_when_by_the_factorys_clock():
    rests = moved(state=State.RESTING, rests_until=NOW + timedelta(hours=20))
    assert told(position=rests)[0] == "Rests after Shaping until Fri 6 Mar 06:00."
    over = moved(state=State.RESTING, rests_until=NOW - timedelta(hours=1))
    assert told(position=over) == told()


def test_a_board_released_too_late_says_that_even_alone_it_would_be():
    assert told(alone=date(2026, 3, 11))[0] == (
        "Too late by itself: with the whole floor to itself it is done by Wed 11 Mar (80\u00a0%)."
    )
    assert told(alone=date(2026, 3, 10)) == told()
    past = date(2026, 3, 4)  # its day is over: that it cannot be kept needs no saying
    assert told(alone=date(2026, 3, 11), promised_on=past) == told()


LINES = Trip(7, "The Line Room", "Pinlines", 6.9)


def test_a_board_that_still_has_to_go_outside_says_so_and_how_long_that_takes():
    assert told(trips=(LINES,))[0] == (
        "Still has to go to The Line Room for Pinlines: about 6.9 days until it is back."
    )
    assert replace(SEEN, trips=(LINES,)).goes_out is None
    now = Trip(7, "The Line Room", "Glassing", 6.9)
    assert told(trips=(now,))[0].startswith("Waits to be sent out to The Line Room for Glassing")
    assert replace(SEEN, trips=(now,)).goes_out == now
    away = moved(state=State.AWAY, away={"bay_name": "The Line Room", "due": "2026-03-06"})
    assert not [one for one in told(position=away, trips=(now,)) if "sent out" in one]


def test_a_closure_before_its_day_is_named_as_the_cause_and_one_after_is_not():
    easter = Shut(date(2026, 3, 12), date(2026, 3, 16), "Stocktaking")
    later = Shut(date(2026, 5, 1), date(2026, 5, 1), "Labour Day")
    assert told(shut=(easter, later), likely=date(2026, 3, 18))[0] == (
        "Nobody works from Thu 12 Mar to Mon 16 Mar (Stocktaking): its day is the later for it."
    )
    assert told(shut=(later,), likely=date(2026, 3, 18)) == told()


def test_a_stage_without_its_hands_says_who_is_away_until_when():
    bo = Off("Bo", date(2026, 3, 13), frozenset({"Glassing", "Fin boxes"}))
    quin = Off("Quin", None, frozenset({"QC"}))
    anyone = Off("Ada", None, frozenset())
    assert told(off=(bo, quin), here={})[-1] == (
        "Nobody is here for Glassing: Bo is away until Fri 13 Mar."
    )
    assert told(off=(bo, anyone))[-1] == "Bo is away until Fri 13 Mar, Ada is away."
    assert told(off=(quin,)) == told()


def test_an_order_not_released_says_so():
    assert told(position=None)[0] == "It is not released yet."
