"""Which stage holds the factory back, and who could help."""

from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stages.flow.load import Hands, Work, floor_load
from stages.flow.sentences import sentence
from tests.examples import examples


def hands(name, hours, *stages):
    return Hands(name, hours * 60, frozenset(stages))


def queue(stage, boards, hours, in_hand=0, in_hand_hours=0):
    return Work(stage, boards, hours * 60, in_hand, in_hand_hours * 60)


def days(floor):
    return {s.stage: s.days for s in floor.stages}


def names(stages):
    return [s.stage for s in stages]


def test_penny_fab_two_is_held_back_by_its_quick_second_step_not_its_longest():
    # Hopp and Spearman, Factory Physics, ch. 7, Penny Fab Two: 2, 5, 10 and 3 hours with 1, 2, 6
    # and 2 machines; rates 0.5, 0.4, 0.6 and 0.67 an hour, so the bottleneck is the second
    # station at 0.4 and not the third with its 10 hours.
    line = [("one", 2, 1), ("two", 5, 2), ("three", 10, 6), ("four", 3, 2)]
    work = [queue(name, 1, hours) for name, hours, _ in line]
    crew = [hands(f"{name} {i}", 1, name) for name, _, many in line for i in range(many)]
    floor = floor_load(work, crew)
    assert names(floor.bottlenecks) == ["two"]
    rates = [1 / s.days for s in floor.stages]
    assert rates == pytest.approx([0.5, 0.4, 0.6, 0.67], abs=0.005)
    assert max(floor.stages, key=lambda s: s.work_min).stage == "three"


def test_the_stage_with_the_most_days_of_work_is_named_in_plain_words():
    floor = floor_load(
        [queue("Shaping", 4, 6), queue("Glassing", 5, 9), queue("Sanding", 1, 1)],
        [hands("a", 6, "Shaping"), hands("b", 6, "Glassing"), hands("c", 6, "Sanding")],
    )
    assert days(floor) == pytest.approx({"Shaping": 1, "Glassing": 1.5, "Sanding": 1 / 6})
    assert sentence(floor) == (
        "Glassing holds the factory back: 5 boards wait, "
        "about 9 working hours of work for 6 available a day."
    )


def test_work_in_hand_counts_with_what_is_left_of_it():
    floor = floor_load([queue("Glassing", 1, 6, 2, 1.5)], [hands("a", 5, "Glassing")])
    assert days(floor) == {"Glassing": 1.5}
    assert sentence(floor) == (
        "Glassing holds the factory back: 1 board waits and 2 are in hand, "
        "about 7.5 working hours of work for 5 available a day."
    )


def test_two_skills_are_shared_so_that_the_fullest_stage_is_relieved():
    # 12 h and 4 h of work, 6 h of a shaper and 2 h of someone who does both: all to shaping
    floor = floor_load(
        [queue("Shaping", 6, 12), queue("Sanding", 3, 4)],
        [hands("a", 6, "Shaping"), hands("b", 2, "Shaping", "Sanding"), hands("c", 4, "Sanding")],
    )
    assert days(floor) == {"Shaping": 1.5, "Sanding": 1}
    shaping, sanding = floor.stages
    assert shaping.shares == {"a": 360, "b": 120}
    assert sanding.shares == {"c": 240}
    assert (shaping.crew_min, sanding.crew_min, sanding.able_min) == (480, 240, 360)


def test_one_pair_of_hands_for_two_stages_is_split_by_the_work():
    floor = floor_load(
        [queue("Fin boxes", 2, 3), queue("Plug", 5, 9)], [hands("a", 6, "Fin boxes", "Plug")]
    )
    assert days(floor) == {"Fin boxes": 2, "Plug": 2}
    assert [s.crew_min for s in floor.stages] == [90, 270]
    assert names(floor.bottlenecks) == ["Plug", "Fin boxes"]


def test_help_travels_along_a_chain_of_skills():
    # b leaves sanding to c and helps glassing: 8 + 8 + 2 = 18 h for 18 h, a day each
    floor = floor_load(
        [queue("Glassing", 8, 10), queue("Sanding", 4, 5), queue("Plug", 3, 3)],
        [
            hands("a", 6, "Glassing"),
            hands("b", 6, "Glassing", "Sanding"),
            hands("c", 6, "Sanding", "Plug"),
        ],
    )
    assert set(days(floor).values()) == {1}


def test_a_spare_hand_does_not_hide_the_second_fullest_stage():
    # after glassing is fixed at 4 days, what is left is still shared as evenly as it can be
    floor = floor_load(
        [queue("Glassing", 9, 24), queue("Sanding", 2, 6), queue("Plug", 2, 6)],
        [hands("a", 6, "Glassing"), hands("b", 6, "Sanding", "Plug"), hands("c", 2, "Plug")],
    )
    assert days(floor) == {"Glassing": 4, "Sanding": 1.5, "Plug": 1.5}


def test_two_stages_equally_behind_are_both_named():
    floor = floor_load(
        [queue("Glassing", 5, 9), queue("Sanding", 3, 9)],
        [hands("a", 6, "Glassing"), hands("b", 6, "Sanding")],
    )
    assert names(floor.bottlenecks) == ["Glassing", "Sanding"]
    assert sentence(floor) == (
        "Glassing and Sanding hold the factory back equally: 8 boards wait, "
        "about 18 working hours of work for 12 available a day."
    )


def test_an_uneven_tenth_is_still_a_true_tie():
    floor = floor_load(
        [Work("A", 1, 0.1 + 0.2), Work("B", 1, 0.3)],
        [Hands("a", 0.1, frozenset("A")), Hands("b", 0.1, frozenset("B"))],
    )
    assert names(floor.bottlenecks) == ["A", "B"]


def test_nobody_down_for_a_stage_is_said_first():
    floor = floor_load(
        [queue("Glassing", 5, 9), queue("Sanding", 3, 4)], [hands("b", 6, "Glassing")]
    )
    assert days(floor) == {"Glassing": 1.5, "Sanding": None}
    assert sentence(floor) == (
        "Nobody is down for Sanding today: 3 boards wait, about 4 working hours of work. "
        "Of the rest, Glassing has the most to do: 5 boards wait, "
        "about 9 working hours of work for 6 available a day."
    )


def test_a_person_who_is_away_has_no_minutes_and_is_nobody():
    floor = floor_load([queue("Sanding", 1, 1)], [hands("b", 0, "Sanding")])
    assert sentence(floor) == (
        "Nobody is down for Sanding today: 1 board waits, about 1 working hour of work."
    )


def test_an_empty_floor_says_so_even_with_no_crew():
    assert sentence(floor_load([queue("Sanding", 0, 0)], [])) == "Nothing is waiting."
    assert sentence(floor_load([], [hands("a", 6, "QC")])) == "Nothing is waiting."


def test_a_floor_that_clears_in_a_day_is_not_said_to_be_held_back():
    floor = floor_load([queue("QC", 1, 0.5), queue("Plug", 0, 0)], [hands("a", 6, "QC", "Plug")])
    assert sentence(floor) == (
        "Every stage can clear its work in a day; QC has the most: 1 board waits, "
        "about 0.5 working hours of work for 6 available a day."
    )


def test_boards_with_no_standard_minutes_left_are_not_called_a_bottleneck():
    floor = floor_load([queue("QC", 0, 0, 1, 0)], [hands("a", 6, "QC")])
    assert floor.bottlenecks == []
    assert sentence(floor) == ("No work is left on the boards that stand here: 1 board is in hand.")


def test_a_stage_listed_twice_is_refused():
    with pytest.raises(ValueError, match="listed twice"):
        floor_load([queue("QC", 1, 1), queue("QC", 1, 1)], [])
    with pytest.raises(ValueError, match="listed twice"):
        floor_load([], [hands("a", 1, "QC"), hands("a", 2, "QC")])


STAGES = "ABCDE"


@settings(deadline=None, max_examples=examples(150))
@given(
    st.lists(st.integers(0, 600), min_size=5, max_size=5),
    st.lists(
        st.tuples(st.integers(0, 480), st.sets(st.sampled_from(STAGES), max_size=5)), max_size=7
    ),
)
def test_no_other_split_could_lower_the_largest_load(minutes, people):
    """The largest ratio is that of the worst group of stages, found here by trying them all.

    A group's work over the minutes of all who can do any of it is a floor no split can go
    under, so a split that meets it is the best.
    """
    work = [Work(s, 1, m) for s, m in zip(STAGES, minutes, strict=True)]
    crew = [Hands(f"p{i}", m, frozenset(skills)) for i, (m, skills) in enumerate(people)]
    floor = floor_load(work, crew)
    doable = {w.stage: w.waiting_min for w in work}
    doable = {
        s: m for s, m in doable.items() if m and any(s in h.stages and h.minutes for h in crew)
    }
    worst = max(
        (
            Fraction(
                sum(doable[s] for s in group),
                sum(h.minutes for h in crew if h.stages & set(group)),
            )
            for size in range(1, len(doable) + 1)
            for group in combinations(doable, size)
        ),
        default=Fraction(0),
    )
    assert max((s.days for s in floor.stages if s.days), default=0) == pytest.approx(float(worst))
    assert {s.stage for s in floor.nobody} == {
        w.stage for w in work if w.waiting_min and w.stage not in doable
    }
    # nobody gives more minutes than they have, or to a stage they cannot do
    for person in crew:
        given_away = sum(s.shares.get(person.name, 0) for s in floor.stages)
        assert given_away <= person.minutes + 1e-6
        assert all(s.stage in person.stages for s in floor.stages if person.name in s.shares)
    # whoever can do several loaded stages helps only the fullest of them, with all they have: no
    # stage could be relieved by one that has fewer days ahead
    by_name = {s.stage: s for s in floor.stages}
    for person in crew:
        mine = [by_name[s].days for s in person.stages if by_name[s].work_min]
        helped = [s.days for s in floor.stages if person.name in s.shares]
        if person.minutes and mine:
            assert helped and min(helped) == max(mine)
            given_away = sum(s.shares.get(person.name, 0) for s in floor.stages)
            assert given_away == pytest.approx(person.minutes)
    # and the minutes given do clear the work in the days said
    for s in floor.stages:
        if s.days:
            assert s.crew_min * s.days == pytest.approx(s.work_min)
