"""Hands that let go of a board because somebody else had finished it before."""

from stages.flow.bouts import bouts_of


def test_hands_that_took_a_board_after_it_was_done_have_no_minutes():
    rows = [(1, 0, 7, "taken", 2, 600.0), (1, 0, 7, "finished", 1, 540.0)]
    assert bouts_of(rows, until=700.0) == []
