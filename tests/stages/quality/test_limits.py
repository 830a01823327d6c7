"""The rule of the QC sheet: outside is more than the tolerance away, to the nanometre."""

import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orders.specs.models import SpecRevision
from stages.quality.asked import KINDS, Asked
from stages.quality.limits import Limits, undecided, uneven
from stages.quality.models import QualityRules
from tests.examples import examples

NM = st.integers(-2_000_000_000, 5_000_000_000)
TOLERANCE = st.integers(0, 100_000_000)


@given(NM, TOLERANCE, st.integers(-200_000_000, 200_000_000))
def test_outside_is_more_than_the_tolerance_away(ordered, tolerance, off):
    limits = Limits.around(ordered, tolerance)
    assert limits.outside(ordered + off) == (abs(off) > tolerance)
    assert not limits.outside(ordered + tolerance)
    assert limits.outside(ordered + tolerance + 1)
    assert limits.outside(ordered - tolerance - 1)


@given(NM, NM, TOLERANCE)
def test_a_pair_is_uneven_by_more_than_the_tolerance_whichever_side_is_more(one, other, tolerance):
    assert uneven(one, other, tolerance) == uneven(other, one, tolerance)
    assert uneven(one, other, tolerance) == (abs(one - other) > tolerance)


@pytest.mark.parametrize(
    ("decision", "said"),
    [
        ({}, "Choose what happens."),
        ({"how": "anyhow"}, "Choose what happens."),
        ({"how": "word"}, "Who said so?"),
        ({"how": "word", "who": "Åse"}, "On which day did they say so?"),
        ({"how": "word", "who": "Åse", "on": "2026-03-06"}, ""),
        ({"how": "second"}, ""),
        ({"how": "rework"}, "To be done again: send the board back instead of passing it."),
    ],
)
def test_what_is_outside_passes_only_with_a_whole_decision(decision, said):
    assert undecided("width_nm", {"width_nm": decision}) == said


LENGTHS = st.fixed_dictionaries({name: st.integers(1, 120) for name in KINDS})


@pytest.mark.django_db
def test_the_page_carries_the_limits_the_server_judges_by(at_qc):
    """In nanometres, for each number: ordered less and plus the factory's tolerance."""
    rules = QualityRules(length_nm=9_525_000, width_nm=2_000_001, even_nm=1_234_567)
    rules.save()
    qc = at_qc(fin_marks={"front": {"up_nm": 279_400_001}}, wide_point_nm=-3_175_000)
    text = qc.page()
    there = {
        name: tuple(map(int, numbers))
        for name, *numbers in re.findall(
            r'data-qc-line="([a-z_-]+)"[^>]* data-ordered="(-?\d+)"[^>]*'
            r' data-low="(-?\d+)" data-high="(-?\d+)"',
            text,
        )
    }
    asked = {n.name: n for n in Asked(qc.board.spec, rules).all_numbers if n.limits}
    assert there == {
        name: (n.ordered, n.limits.low, n.limits.high) for name, n in asked.items()
    }
    assert there["width_nm"] == (495_300_000, 493_299_999, 497_300_001)
    assert there["wide_point_nm"][0] == -3_175_000
    assert there["front-up-left"][0] == 279_400_001
    assert set(re.findall(r'data-even="(\d+)"', text)) == {"1234567"}


@pytest.mark.django_db
@settings(max_examples=examples(25), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(LENGTHS, TOLERANCE)
def test_every_ordered_length_is_asked_with_its_own_tolerance(thirty_seconds, tolerance):
    spec = SpecRevision(
        **{name: count * 793_750 for name, count in thirty_seconds.items()},
        fin_setup="none", leash_plug="none",
    )  # fmt: skip
    kinds = {f"{kind.value}_nm": tolerance + n for n, kind in enumerate(set(KINDS.values()))}
    rules = QualityRules(**kinds)
    for number in Asked(spec, rules).numbers:
        ordered, kind = getattr(spec, number.name), KINDS[number.name]
        assert number.ordered == ordered
        assert number.limits == Limits.around(ordered, kinds[f"{kind.value}_nm"])
        assert number.field.clean(number.ordered_text) == ordered
