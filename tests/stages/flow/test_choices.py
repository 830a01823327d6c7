"""Which work people put off, read from what they took while what waited."""

import numpy as np
import pytest

from stages.flow.choices import Stay, put_off

SELA, SANDING, QC = 7, 3, 5


def habit_of(*, habit: float, wrong: int = 0) -> dict[int, float]:
    """Two boards wait each day, one to be sanded and one to be checked, and Sela sands first unless
    the other is due sooner by more than her habit; `wrong` times she takes the other. What she
    leaves she does after it."""
    rng, stays = np.random.default_rng(1), []
    for day in range(60):
        at, sanding, checked = 1440.0 * day, *(float(due) for due in rng.integers(0, 20, 2))
        first = sanding < checked + habit
        if day < wrong:
            first = not first
        begins = {SANDING: at + 10 + 100 * (not first), QC: at + 10 + 100 * first}
        for stage, due in ((SANDING, sanding), (QC, checked)):
            stays.append(Stay(stage, SELA, at, begins[stage], begins[stage] + 90, due))
    stays.append(Stay(SANDING, SELA, 1e6, 1e6, 1e6 + 90, 0.0))  # what she does most
    return put_off(stays)[SELA]


@pytest.mark.parametrize("habit", [6.5, 0.5, -3.5])
def test_a_habit_is_told_by_the_days_it_goes_to(habit):
    assert habit_of(habit=habit)[QC] == pytest.approx(habit, abs=1.0)


def test_who_goes_by_the_promise_puts_nothing_off():
    assert habit_of(habit=0.0)[QC] == 0.0


def test_a_few_choices_otherwise_make_no_habit_and_unmake_none():
    assert habit_of(habit=0.0, wrong=4)[QC] == 0.0
    assert habit_of(habit=6.5, wrong=4)[QC] == pytest.approx(6.5, abs=1.0)


def test_who_never_took_the_other_first_puts_it_off_by_more_than_was_ever_met():
    assert habit_of(habit=99.0)[QC] > 17  # she was met by 17 days at most


def test_a_board_taken_beside_another_is_no_choice():
    pairs = []
    for day in range(60):
        at = 1440.0 * day
        pairs += [
            Stay(SANDING, SELA, at, at + 10, at + 300, 9.0),
            Stay(SANDING, SELA, at, at + 20, at + 300, 9.0),  # while the other is in hand
            Stay(QC, SELA, at + 15, at + 310, at + 320, 1.0),
        ]
    assert put_off(pairs) == {}
