"""How much a test tries: a little at every run, much in the long form (`manage.py benchmark long`).

The long form sets RACKBOUND_LONG=1 and runs what is marked `long`, and the property tests again.
"""

import os

import pytest

LONG = bool(os.environ.get("RACKBOUND_LONG"))


def examples(many: int, few: int | None = None) -> int:
    """Of `many` random examples, how many this run tries: an eighth, or `few`."""
    return many if LONG else few or max(8, many // 8)


def in_long_form(*values, id=None):
    """These parameters run in the long form alone."""
    return pytest.param(*values, marks=pytest.mark.long, id=id)


def some_often(params, *, often) -> list:
    """Every one of `params` in the long form; at every run those of which `often(param)` is true.

    A param of several values is a tuple.
    """
    several = [param if isinstance(param, tuple) else (param,) for param in params]
    return [
        pytest.param(*values) if often(*values) else in_long_form(*values) for values in several
    ]
