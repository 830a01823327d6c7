"""Pareto's order, against a published table and by its properties."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stages.statistics.pareto import pareto


def test_the_most_frequent_cause_stands_first_with_the_running_share():
    """Source: documentation of the R library qcc, pareto.chart, defects of purchase orders."""
    rows = pareto(
        {
            "price code": 80,
            "schedule date": 27,
            "supplier code": 66,
            "contact number": 94,
            "part number": 33,
        }
    )
    assert [row.name.split()[0] for row in rows] == [
        "contact", "price", "supplier", "part", "schedule",
    ]  # fmt: skip
    assert [row.count for row in rows] == [94, 80, 66, 33, 27]
    assert [100 * row.share for row in rows] == pytest.approx(
        [31.33, 26.67, 22.00, 11.00, 9.00], abs=0.005
    )
    assert [100 * row.running for row in rows] == pytest.approx(
        [31.33, 58.00, 80.00, 91.00, 100.00], abs=0.005
    )


def test_what_never_happened_is_left_out_and_nothing_gives_no_rows():
    assert [row.name for row in pareto({"pinholes": 0, "dry weave": 2})] == ["dry weave"]
    assert pareto({}) == []


@given(st.dictionaries(st.text(max_size=5), st.integers(0, 1000)))
def test_shares_fall_and_run_up_to_the_whole(counts):
    rows = pareto(counts)
    assert sum(row.count for row in rows) == sum(counts.values())
    assert [row.count for row in rows] == sorted((row.count for row in rows), reverse=True)
    if rows:
        assert rows[-1].running == 1
        assert rows[0].share == rows[0].running
