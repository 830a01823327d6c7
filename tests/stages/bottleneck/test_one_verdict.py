"""Every page that names what holds the factory back names the same stage."""

import html
from datetime import date, timedelta

import pytest

from stages.bottleneck import gains as gaining
from stages.bottleneck.gains import AGAIN, FRESH, Gains, gains_known, keep_gains_once, play_gains
from stages.bottleneck.models import GainsKept
from stages.crew.models import CrewMember, DaysOff
from stages.flow.bottleneck import Gain
from stages.flow.outlook import Compared

PAGES = ["/floor/", "/morning/", "/turnaround/", "/week/", "/bottleneck/"]


@pytest.fixture
def glassing_gains(floor, monkeypatch):
    """The boards of `floor` wait for shaping; played forward, glassing would gain."""

    def made_up(played, orders, stages, **how):
        names = [stage.pk for stage in gaining.ground_now(now=floor.now).stages]
        glassing = names.index(floor.stages["Glassing"].pk)
        return [
            Gain(stage, Compared(9, 1, 9, 1, 1.5 if stage == glassing else 0.0, 0.2), None)
            for stage in stages
        ]

    monkeypatch.setattr(gaining, "gains", made_up)
    return floor


def test_all_five_pages_give_the_answer_of_the_floor_played_forward(glassing_gains, as_):
    floor = glassing_gains
    keep_gains_once(now=floor.now)
    for page in PAGES:
        said = html.unescape(as_(floor.mara).get(page).content.decode())
        assert "Glassing holds the factory back: a tenth more time" in said, page
        assert "Most work stands at Shaping now" in said, page
        assert "Shaping holds the factory back" not in said, page


def test_before_anything_is_played_all_answer_by_the_work_that_stands(glassing_gains, as_):
    for page in PAGES[:-1]:
        assert "Shaping has the most: 3 boards wait" in as_(glassing_gains.mara).get(
            page
        ).content.decode(), page


def test_gains_are_kept_until_hours_change_or_time_has_gone_by(glassing_gains):
    now = glassing_gains.now
    assert keep_gains_once(now=now) and keep_gains_once(now=now) is None
    DaysOff.objects.create(
        member=CrewMember.objects.get(user=glassing_gains.bo), first=date(2026, 4, 6),
        last=date(2026, 4, 10),
    )
    kept = keep_gains_once(now=now)
    assert [name for name, *_ in kept.told["away"]["Glassing"]] == ["Bo"]
    assert "Shaping" not in kept.told["away"]
    assert keep_gains_once(now=now + AGAIN - timedelta(seconds=1)) is None
    assert keep_gains_once(now=now + AGAIN) is not None
    assert GainsKept.objects.count() == 1


def test_gains_nobody_keeps_any_more_are_not_shown(glassing_gains):
    keep_gains_once(now=glassing_gains.now)
    gaining.cache.clear()
    assert gains_known(now=glassing_gains.now + FRESH) is None


def test_what_is_kept_is_what_was_played(floor):
    played = play_gains(floor.now)
    assert played.by_stage
    assert Gains.of_plain(played.at, played.plain()) == played
