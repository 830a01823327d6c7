"""What holds the factory back, in words: one answer, and its evidence."""

from datetime import UTC, date, datetime

import pytest

from stages.bottleneck.gains import AwayToCome, Gains
from stages.bottleneck.words import growing, verdict
from stages.flow.bottleneck import Gain, Growth
from stages.flow.load import Hands, Work, floor_load
from stages.flow.outlook import Compared

UP, DOWN, STILL = Growth(3, 14, 2.4, 0.4), Growth(14, 3, -2.4, 0.4), Growth(3, 4, 0.3, 0.4)
NOW = datetime(2026, 3, 2, 8, tzinfo=UTC)


def gain(more, give=0.2):
    return Gain(0, Compared(14.0, 1.0, 14.0 + more, 1.0, more, give), None)


def played(away=None, **more):
    return Gains(NOW, {name: gain(by) for name, by in more.items()}, 14.0, 20, away or {})


def standing(*, crew=("Shaping", "Glassing"), **waiting):
    """So many boards of an hour's work each; one person a stage, eight hours."""
    work = [Work(name, count, 60 * count) for name, count in waiting.items()]
    return floor_load(work, [Hands(stage, 480, frozenset({stage})) for stage in crew])


def test_the_stage_that_gains_most_is_named_though_more_work_stands_elsewhere():
    said = verdict(standing(Shaping=48, Glassing=8), played(Shaping=0.02, Glassing=0.9))
    assert said.stage == "Glassing"
    assert said.headline == (
        "Glassing holds the factory back: a tenth more time there would bring 0.9 boards a week "
        "more, give or take 0.2."
    )
    assert said.evidence == (
        "Most work stands at Shaping now (48 boards wait, about 48 working hours of work for 8 "
        "available a day), but a tenth more time there would bring no more boards than chance "
        "does.",
    )


def test_where_both_name_one_stage_the_work_is_evidence():
    said = verdict(standing(Shaping=1, Glassing=40), played(Shaping=0.02, Glassing=0.9))
    assert said.evidence == (
        "Most work stands at Glassing now: 40 boards wait, about 40 working hours of work for 8 "
        "available a day.",
    )


def test_the_absences_that_were_counted_are_named():
    away = {
        "Glassing": [AwayToCome("Bo", date(2026, 3, 9), date(2026, 3, 20))]
        + [AwayToCome("Odd", date(2026, 4, 1), None)] * 4,
        "Shaping": [AwayToCome("Inka", date(2026, 3, 9), date(2026, 3, 9))],
    }
    said = verdict(standing(Glassing=2), played(away, Glassing=0.9)).evidence[-1]
    assert said.startswith("Absences to come are counted: Bo Mon 9 Mar to Fri 20 Mar; Odd from Wed")
    assert said.endswith("2 absences more.") and "Inka" not in said


def test_gains_within_their_error_name_no_stage():
    said = verdict(standing(Shaping=8, Glassing=1), played(Shaping=0.1, Glassing=-0.1))
    assert said.stage == "" and said.headline.startswith("No stage by itself holds the factory")
    assert said.evidence[0].startswith("Most work stands at Shaping now: 8 boards wait")


@pytest.mark.parametrize("more, give, told", [(0.12, 0.11, False), (0.16, 0.14, True)])
def test_a_gain_that_reads_no_larger_than_its_error_names_no_stage(more, give, told):
    gains = Gains(NOW, {"Shaping": gain(more, give)}, 14.0, 20, {})
    said = verdict(standing(Shaping=8), gains)
    assert bool(said.stage) == told
    assert said.headline.startswith("No stage by itself") != told


def test_work_with_nobody_to_do_it_comes_first():
    said = verdict(standing(Shaping=9, Plug=1), played(Shaping=0.1))
    assert said.headline.startswith("Nobody is down for Plug today: 1 board waits")
    assert said.evidence[0].startswith("No stage by itself")
    said = verdict(standing(Shaping=9, Plug=1), played(Shaping=0.9))
    assert said.stage == "Shaping" and said.evidence[0].startswith("Nobody is down for Plug")


def test_where_nothing_was_played_the_load_answers():
    said = verdict(standing(Shaping=16), None)
    assert said.headline.startswith("Shaping holds the factory back: 16 boards wait")
    assert said.evidence == ()


def test_an_empty_floor_has_no_bottleneck():
    said = verdict(standing(), played())
    assert said.headline == "There is no work yet, so nothing holds the factory back."


def test_a_queue_that_grew_elsewhere_is_told_as_the_past():
    said = growing({"Shaping": UP, "Glassing": STILL, "QC": None}, "Glassing")
    assert "The queue at Shaping grew" in said and said.endswith("the gain of the weeks to come.")
    assert "the past" not in growing({"Glassing": UP}, "Glassing")
    assert growing({"Glassing": DOWN}, "Glassing").startswith("No queue grew")


@pytest.mark.parametrize("last", [0, 1])
def test_a_line_that_rises_by_a_board_at_most_is_no_growing_queue(last):
    assert growing({"Gloss": Growth(0, last, 0.2, 0.08)}, "").startswith("No queue grew")
