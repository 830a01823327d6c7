"""How long there is before a pot goes off."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orders.glassing.working_time import CupTest, NoTime, epoxy_minutes, polyester_minutes
from tests.examples import examples

# Hand-applied gel times of a two-part epoxy, C and minutes: Gel, recoat and curing time chart,
# scribd.com/document/708897795 (a maker's data sheet).
GEL_TABLE = {4: 180, 10: 110, 16: 62, 21: 52, 27: 30, 32: 25, 38: 18, 43: 16}


def test_a_published_table_of_gel_times_halves_every_11_c():
    slope = np.polyfit(list(GEL_TABLE), np.log2(list(GEL_TABLE.values())), 1)[0]
    assert -1 / slope == pytest.approx(11.0, abs=0.05)


@pytest.mark.parametrize(("celsius", "minutes"), GEL_TABLE.items())
def test_the_tables_times_fall_inside_the_span_told_from_its_21_c(celsius, minutes):
    told = epoxy_minutes(GEL_TABLE[21], 21, celsius) if abs(celsius - 21) <= 20 else None
    if told is None:
        with pytest.raises(NoTime):
            epoxy_minutes(GEL_TABLE[21], 21, celsius)
    else:
        assert told.low <= minutes <= told.high


def test_an_epoxy_halves_every_18_f():
    # 2 h at 70 F, 1 h at 88 F, 30 min at 106 F: Epoxy board cure time, forum.swaylocks.com/t/41934.
    def c(f):
        return (f - 32) * 5 / 9

    assert epoxy_minutes(120, c(70), c(88)).expected == pytest.approx(60)
    assert epoxy_minutes(120, c(70), c(106) - 1e-9).expected == pytest.approx(30)


# Invented cups that lie on a plane in the logarithm: 20 min at 1.5 % and 20 C, halved per 12 C,
# and by 1.5 for each half per cent.
def on_the_plane(percent, celsius):
    return 20 * 2 ** ((20 - celsius) / 12) * 1.5 ** ((1.5 - percent) / 0.5)


CUPS = [CupTest(p, c, on_the_plane(p, c)) for p in (1.0, 2.0) for c in (16.0, 26.0)]
CUPS += [CupTest(1.5, 20.0, 20.0)]


def test_a_cup_that_was_timed_is_told_as_it_was():
    assert polyester_minutes(CUPS, 1.5, 20).expected == pytest.approx(20)


@settings(max_examples=examples(40), deadline=None)
@given(st.floats(1.0, 2.0), st.floats(16.0, 26.0))
def test_between_cups_the_time_lies_on_their_plane(percent, celsius):
    told = polyester_minutes(CUPS, percent, celsius)
    assert told.expected == pytest.approx(on_the_plane(percent, celsius), rel=1e-3)
    assert told.low < told.expected < told.high


@pytest.mark.parametrize(("percent", "celsius"), [(1.5, 15.9), (1.5, 27), (0.9, 20), (2.1, 20)])
def test_beyond_the_cups_nothing_is_told(percent, celsius):
    with pytest.raises(NoTime, match="no cup test near"):
        polyester_minutes(CUPS, percent, celsius)


def test_one_cup_speaks_only_for_itself_and_two_for_the_line_between_them():
    assert polyester_minutes([CupTest(1, 20, 30)], 1, 20).expected == pytest.approx(30)
    for tests in ([], [CupTest(1, 20, 30)]):
        with pytest.raises(NoTime):
            polyester_minutes(tests, 1, 21)
    two = [CupTest(1, 18, 40), CupTest(1, 24, 20)]
    assert polyester_minutes(two, 1, 21).expected == pytest.approx((40 * 20) ** 0.5)
    for percent, celsius in [(1.1, 21), (1, 25), (1, 17.9)]:
        with pytest.raises(NoTime):
            polyester_minutes(two, percent, celsius)


def test_cups_mixed_alike_are_averaged_and_an_odd_one_widens_the_span():
    alike = [CupTest(1, 20, 25), CupTest(1, 20, 36)]
    assert polyester_minutes(alike, 1, 20).expected == pytest.approx(30)
    sure = polyester_minutes(CUPS, 1.4, 21)
    odd = polyester_minutes([*CUPS, CupTest(1.5, 22, 60)], 1.4, 21)
    assert odd.high / odd.expected > 1.5 * sure.high / sure.expected
