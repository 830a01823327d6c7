"""What the three readings come to in words."""

import pytest

from stages.bottleneck.words import Says, verdict
from stages.flow.bottleneck import Gain, Growth
from stages.flow.outlook import Compared

UP, DOWN, STILL = Growth(3, 14, 2.4, 0.4), Growth(14, 3, -2.4, 0.4), Growth(3, 4, 0.3, 0.4)


def gain(more, give=0.2):
    return Gain(0, Compared(14.0, 1.0, 14.0 + more, 1.0, more, give), None)


def test_one_stage_by_all_three_readings_holds_the_factory_back():
    said = verdict(
        [
            Says("Glassing", 2.84, UP, gain(1.14)),
            Says("Sanding", 0.4, STILL, gain(0.05)),
            Says("Pinlines", 0.0, DOWN, None),
        ],
        weeks=8,
    )
    assert said.headline == (
        "Glassing holds the factory back: 2.8 days of work stand there, its queue grows by about "
        "2.4 boards a week, and a tenth more time there would bring 1.1 boards a week more, give "
        "or take 0.2."
    )
    assert said.agreement == "All three readings agree."


def test_a_queue_that_shrinks_at_the_bottleneck_is_being_worked_off():
    said = verdict([Says("Glassing", 2.8, DOWN, gain(1.1))], weeks=8)
    assert "its queue shrinks by about 2.4 boards a week" in said.headline
    assert said.agreement.endswith("the queue is being worked off as it is.")
    said = verdict([Says("Glassing", 2.8, STILL, gain(1.1))], weeks=8)
    assert "queue" not in said.headline and "no queue grows" in said.agreement


def test_readings_that_disagree_say_so_and_why():
    said = verdict(
        [
            Says("Shaping", 6.0, UP, gain(0.02)),
            Says("Glassing", 1.0, STILL, gain(0.9)),
        ],
        weeks=8,
    )
    assert said.headline == (
        "Look at Glassing first: a tenth more time there would bring 0.9 boards a week more, give "
        "or take 0.2."
    )
    assert said.agreement == (
        "The readings disagree: most work stands at Shaping, 6.0 days of it, and the queue at "
        "Shaping grows by about 2.4 boards a week."
    )
    assert len(said.because) == 2


@pytest.mark.parametrize("last", [0, 1])
def test_a_line_that_rises_by_a_board_at_most_is_no_growing_queue(last):
    said = verdict(
        [
            Says("Glassing", 3.0, STILL, gain(1.1)),
            Says("Gloss", 0.0, Growth(0, last, 0.2, 0.08), gain(0.02)),
        ],
        weeks=8,
    )
    assert said.headline.startswith("Glassing holds the factory back: 3.0 days of work")


def test_gains_within_their_error_are_told_from_nothing_by_nobody():
    said = verdict([Says("Shaping", 1.0, STILL, gain(0.1)), Says("QC", 0.2, DOWN, gain(-0.1))],
                   weeks=8)  # fmt: skip
    assert said.headline == (
        "No stage by itself holds the factory back. The most work stands at Shaping: 1.0 day."
    )
    assert said.agreement.startswith("A tenth more time at any one of them would bring no more")


def test_a_queue_that_grows_where_no_stage_would_gain_is_a_disagreement():
    said = verdict([Says("Shaping", 1.0, UP, gain(0.1))], weeks=8)
    assert said.headline.startswith("The readings disagree: the queue at Shaping grows by about")


def test_work_with_nobody_to_do_it_comes_before_any_number_of_days():
    said = verdict([Says("Shaping", 9.0, STILL, gain(0.1)), Says("Plug", None, STILL, None)],
                   weeks=8)  # fmt: skip
    assert "The most work stands at Plug: more than anybody is there for." in said.headline


def test_an_empty_floor_has_no_bottleneck():
    said = verdict([], weeks=8)
    assert said.headline == "There is no work yet, so nothing holds the factory back."
