"""Time at an outside bay is told as away, and figures are not written surer than they are."""

import pytest

from orders.orderbook.chance import chance_words
from stages.log.fold import Kind
from stages.statistics.percentiles import Estimate
from stages.statistics.survival import Quantile
from stages.statistics.times import PARTS
from stages.templatetags.figures import percent
from stages.turnaround.history import history
from stages.turnaround.periods import preset
from stages.turnaround.taken import Compared, taken
from tests.stages.turnaround.floor import do, hours, on_floor, route
from tests.stages.turnaround.test_report import OSLO


@pytest.mark.django_db
@pytest.mark.parametrize("done", [1, 0])
def test_from_sent_out_to_taken_back_is_away_done_there_or_not(world, done):
    board = on_floor(world, route(world, "Out", "Glassing", "QC"))
    payload = {"bay_name": "Tideline", "due": "2026-03-05", "manifest": 1}
    world.log(board, Kind.SENT_OUT, world.mara, hours(2), payload=payload)
    world.log(board, Kind.CAME_BACK, world.mara, hours(50), payload={"done": done})
    if not done:
        do(world, board, world.bo, 51, 52)
    do(world, board, world.quin, 99, 100, Kind.PASSED)
    period = preset("4w", today=hours(100).date(), zone=OSLO)
    parts = dict(zip(PARTS, history(period).seconds.sum(axis=0) / 3600, strict=True))
    assert parts["away"] == 48
    assert sum(parts.values()) == pytest.approx(100)
    assert taken(period=period, now=hours(101)).mean["away"] == 48 * 3600


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.0, "under 1\u00a0%"), (0.009, "under 1\u00a0%"), (0.01, "1\u00a0%"), (0.29, "29\u00a0%"),
     (0.799, "79\u00a0%"), (0.99, "99\u00a0%"), (0.996, "over 99\u00a0%"), (1.0, "over 99\u00a0%")],
)  # fmt: skip
def test_a_chance_is_never_told_surer_than_it_is(share, words):
    assert chance_words(share) == words


def test_less_than_all_is_never_a_hundred_percent():
    assert percent(0.9961) == "over 99\u00a0%"
    assert (percent(1.0), percent(0.99), percent(0.004)) == (
        "100\u00a0%", "99\u00a0%", "0.4\u00a0%",
    )


@pytest.mark.parametrize(("every", "differs"), [(17.92, False), (18.4, True), (None, False)])
def test_the_same_days_twice_say_nothing(every, differs):
    half = Compared("half", Estimate(17.88, 16.0, 19.0, 0.95), Quantile(every, None, None))
    assert half.differs is differs
