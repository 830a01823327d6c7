"""The hole in a rider's boards that a new one fills."""

from hypothesis import given
from hypothesis import strategies as st

from orders.fit.earlier import HOLE_MM, Owned, hole_filled

INCH = 25.4
SHORT = Owned("board 1003", 74 * INCH, 28.0)
LOG = Owned("board 1010", 110 * INCH, 72.0)


def test_a_first_board_fills_no_hole():
    assert hole_filled(80 * INCH, 40, []) == []


def test_a_mid_length_fills_the_hole_between_a_shortboard_and_a_log():
    [sentence] = hole_filled(86 * INCH, 44.0, [LOG, SHORT])
    assert sentence == (
        "Fills the hole between board 1003 (6'2\", 28 L) and board 1010 (9'2\", 72 L): "
        "36 in and 44 L apart."
    )


def test_the_longest_and_the_shortest_are_named_as_such():
    assert hole_filled(80 * INCH, 36.0, [SHORT]) == [
        "Their longest so far, by 6 in and 8 L more than board 1003 (6'2\", 28 L)."
    ]
    assert hole_filled(70 * INCH, 26.0, [SHORT]) == [
        "Their shortest so far, by 4 in and 2 L less than board 1003 (6'2\", 28 L)."
    ]


def test_a_board_much_like_one_they_have_is_asked_about():
    [sentence] = hole_filled(74.5 * INCH, 28.5, [SHORT, LOG])
    assert sentence.startswith("Much the same as board 1003")


def test_neighbours_that_are_close_leave_no_hole():
    near = Owned("board 1020", 76 * INCH, 33.0)
    [sentence] = hole_filled(75 * INCH, 30.5, [SHORT, near])
    assert "only 2 in apart" in sentence


def test_a_hole_by_litres_alone_is_told_too():
    fish = Owned("board 1030", 68 * INCH, 36.0)
    sentences = hole_filled(78 * INCH, 32.0, [SHORT, fish])
    assert sentences[0].startswith("Their longest so far")
    assert sentences[1] == (
        "By litres it fills the hole between board 1003 (28 L) and board 1030 (36 L)."
    )


def test_centimetres_are_said_in_a_metric_factory():
    assert hole_filled(2000, 36.0, [Owned("board 7", 1880, 28.0)], unit="mm") == [
        "Their longest so far, by 12 cm and 8 L more than board 7 (188 cm, 28 L)."
    ]


boards = st.builds(
    Owned, st.sampled_from(["board 1", "board 2"]), st.floats(1500, 3300), st.floats(20, 110)
)


@given(st.floats(1500, 3300), st.floats(20, 110), st.lists(boards, min_size=1, max_size=6))
def test_a_hole_is_claimed_only_where_neighbours_are_apart(length, litres, earlier):
    sentences = hole_filled(length, litres, earlier)
    assert 1 <= len(sentences) <= 2
    if sentences[0].startswith("Fills the hole"):
        below = max(one.length_mm for one in earlier if one.length_mm <= length)
        above = min(one.length_mm for one in earlier if one.length_mm > length)
        assert above - below >= HOLE_MM
