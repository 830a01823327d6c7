"""Three-way merge of field values, for optimistic concurrency.

An edit is a change against the base version, which its page showed. Meanwhile others may have
saved theirs. A field only one side changed has that side's value; a field both changed to
different values is a conflict, which a person settles.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Generic, TypeVar

Value = TypeVar("Value")


@dataclass(frozen=True)
class Conflict(Generic[Value]):
    """A field that both sides changed. `base` is None where nobody knows what the page showed."""

    base: Value | None
    theirs: Value
    mine: Value


@dataclass(frozen=True)
class Merged(Generic[Value]):
    """`values` holds mine for a field in conflict; `taken` names the fields that have theirs."""

    values: dict[str, Value]
    conflicts: dict[str, Conflict[Value]] = field(default_factory=dict)
    taken: list[str] = field(default_factory=list)


def three_way_merge(
    *,
    base: Mapping[str, Value] | None,
    theirs: Mapping[str, Value],
    mine: Mapping[str, Value],
    same: Callable[[str, Value, Value], bool] = lambda name, one, other: one == other,
) -> Merged[Value]:
    """`mine` brought onto `theirs`, field by field of `mine`.

    `same(name, one, other)` says whether two values of a field mean the same. Without a base,
    whole or for one field, every difference from theirs is a conflict: nothing is overwritten
    that nobody saw.
    """
    merged = Merged(dict(mine))
    for name, typed in mine.items():
        kept = theirs[name]
        if same(name, typed, kept):
            continue
        shown = (base or {}).get(name)
        if shown is None:
            merged.conflicts[name] = Conflict(None, kept, typed)
        elif same(name, shown, typed):
            merged.values[name] = kept
            merged.taken.append(name)
        elif not same(name, shown, kept):
            merged.conflicts[name] = Conflict(shown, kept, typed)
    return merged
