"""Indicators of ISO 22400-2. Formulas: the standard's public ontology, hsu-aut,
IndustrialStandard-ODP-ISO22400-2; the numbers are worked by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stages.statistics import indicators as iso


def test_throughput_rate_is_produced_quantity_over_order_time():
    # 40 pieces in 120 hours: a third of a piece an hour
    assert iso.throughput_rate(pq=40, aoet=120) == pytest.approx(0.333333, abs=1e-6)


def test_an_order_tied_up_30_hours_of_120_with_24_in_hands():
    assert iso.allocation_ratio(aubt=30, aoet=120) == 0.25
    assert iso.production_process_ratio(apt=24, aoet=120) == 0.2
    assert iso.utilisation_efficiency(apt=24, aubt=30) == 0.8
    # of the three the first two are linked: APT/AOET = APT/AUBT x AUBT/AOET
    assert pytest.approx(0.8 * 0.25) == 0.2


def test_a_bay_planned_for_40_hours_and_tied_up_for_30():
    assert iso.allocation_efficiency(aubt=30, pbt=40) == 0.75


def test_a_worker_present_for_eight_hours_and_six_on_orders():
    assert iso.worker_efficiency(apwt=6, apat=8) == 0.75


def test_nothing_to_divide_by_is_no_indicator():
    assert iso.throughput_rate(pq=0, aoet=0) is None
    assert iso.allocation_ratio(aubt=0, aoet=0) is None
    assert iso.production_process_ratio(apt=0, aoet=0) is None
    assert iso.utilisation_efficiency(apt=0, aubt=0) is None
    assert iso.allocation_efficiency(aubt=0, pbt=0) is None
    assert iso.worker_efficiency(apwt=0, apat=0) is None


spans = st.lists(st.tuples(st.integers(0, 60), st.integers(1, 20)), max_size=8)


@given(spans, st.integers(-5, 90), st.integers(0, 60))
def test_the_time_within_hours_is_the_minutes_counted_one_by_one(shifts, start, length):
    shifts = [(opens, opens + long) for opens, long in shifts]
    found = iso.time_within(iso.union(shifts), np.array([start]), np.array([start + length]))
    counted = sum(
        any(opens <= minute < closes for opens, closes in shifts)
        for minute in range(start, start + length)
    )
    assert found.tolist() == [counted]


def test_two_peoples_hours_that_overlap_are_one_stretch():
    assert iso.union([(8, 12), (13, 16), (11, 13)]).tolist() == [[8, 16]]
    assert iso.union([]).tolist() == []
