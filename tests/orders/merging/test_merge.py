"""The three-way merge of an edit with what others saved meanwhile: the usual rules of a merge by
field (from memory; common practice of version control)."""

from itertools import product

from orders.merging.merge import Conflict, three_way_merge

# A field for every way three values can be the same or differ.
_WAYS = list(product(range(3), repeat=3))


def test_each_field_has_the_value_of_the_side_that_changed_it():
    base, theirs, mine = ({str(way): way[side] for way in _WAYS} for side in range(3))
    merged = three_way_merge(base=base, theirs=theirs, mine=mine)
    for name in mine:
        untouched = mine[name] == base[name]
        assert merged.values[name] == (theirs[name] if untouched else mine[name])
        all_differ = len({base[name], theirs[name], mine[name]}) == 3
        assert (name in merged.conflicts) is all_differ


def test_without_a_base_every_difference_is_a_conflict():
    theirs, mine = ({str(way): way[side] for way in _WAYS} for side in (1, 2))
    merged = three_way_merge(base=None, theirs=theirs, mine=mine)
    assert merged.values == mine
    assert set(merged.conflicts) == {name for name in mine if mine[name] != theirs[name]}


def test_a_conflict_holds_all_three_and_what_was_taken_is_named():
    merged = three_way_merge(
        base={"price": "850", "width": "19 1/2"},
        theirs={"price": "900", "width": "20"},
        mine={"price": "875", "width": "19 1/2"},
    )
    assert merged.conflicts == {"price": Conflict("850", "900", "875")}
    assert merged.taken == ["width"]


def test_values_that_mean_the_same_are_no_change():
    merged = three_way_merge(
        base={"width": "19.5"},
        theirs={"width": "20"},
        mine={"width": "19 1/2"},
        same=lambda name, one, other: {one, other} <= {"19.5", "19 1/2"} or one == other,
    )
    assert merged.values == {"width": "20"} and not merged.conflicts
