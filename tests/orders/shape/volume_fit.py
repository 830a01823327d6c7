"""How the foil of each class was fitted to published boards, and what comes of a maker left out.

A model's fullness is its maker's choice: within a table of one model the share of the box that is
foam hardly changes, between models it differs by a twentieth either way. So a table counts once,
and each maker once among the makers, however many rows they publish; and an error is only that of
a board by a maker whose boards were not fitted.
"""

import csv
from collections import Counter
from contextlib import contextmanager
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

from orders.shape import numbers
from orders.shape.numbers import BOARD_CLASSES, BoardNumbers
from orders.shape.units import parse_length
from orders.shape.volume import modelled_litres_of

# What was fitted of each class, beside the shares at both ends, which move together.
SLOPES = {"shortboard": ("wide", "long"), "fish": ("thick", "long"), "mid_length": ("wide",),
          "longboard": (), "gun": ("long",)}

with (Path(__file__).parent / "published_boards.csv").open(newline="") as file:
    ROWS = list(csv.DictReader(file))


def numbers_of(row, named=False):
    length, width, thickness = (
        parse_length(row[name], bare=bare) / 1e6
        for name, bare in (("length", "ft"), ("width", "in"), ("thickness", "in")))
    return BoardNumbers(length, width, thickness, tail_shape=row["tail"] or "squash",
                        board_class=row["class"] if named else None)


def rows_of(kind):
    """The rows of a class; those whose litres do not fit their own table's are left out."""
    return [row for row in ROWS if row["class"] == kind and not row["doubtful"]]


def errors(rows, named=True):
    """Modelled over published, less one, in per cent."""
    published = np.array([float(row["litres"]) for row in rows])
    return 100 * (modelled_litres_of([numbers_of(row, named) for row in rows]) / published - 1)


def weights_by_table(rows):
    count = Counter(row["table"] for row in rows)
    return np.array([1 / count[row["table"]] for row in rows])


def weights_by_maker(rows):
    tables = {}
    for row in rows:
        tables.setdefault(row["maker"], set()).add(row["table"])
    return weights_by_table(rows) / [len(tables[row["maker"]]) for row in rows]


def quantile(sizes, weights, share):
    order = np.argsort(sizes)
    reached = np.cumsum(weights[order]) / weights.sum()
    return sizes[order][np.searchsorted(reached, share)]


@contextmanager
def foil(kind, values):
    """The model with these values for a class: what is added to the shares, and the slopes."""
    at = BOARD_CLASSES.index(kind)
    shares = [numbers._FOIL_SHARE[end] for end in ("nose", "tail")]
    slopes = [numbers._FULLER[name] for name in SLOPES[kind]]
    kept = [array[at] for array in (*shares, *slopes)]
    for array, value in zip(shares, kept, strict=False):
        array[at] = value + values[0]
    for array, value in zip(slopes, values[1:], strict=True):
        array[at] = value
    try:
        yield
    finally:
        for array, value in zip((*shares, *slopes), kept, strict=True):
            array[at] = value


def fitted(kind, rows):
    """What gives least squares of the logarithmic error, each maker counting once."""
    boards = [numbers_of(row, named=True) for row in rows]
    published = np.array([float(row["litres"]) for row in rows])
    weights = np.sqrt(weights_by_maker(rows))

    def off(values):
        with foil(kind, values):
            return np.log(modelled_litres_of(boards) / published) * weights

    start = np.zeros(1 + len(SLOPES[kind]))
    return least_squares(off, start, diff_step=1e-3, x_scale=0.1).x


def left_out(kind):
    """(rows, errors in per cent), each maker's by the others' boards."""
    rows = rows_of(kind)
    found = np.zeros(len(rows))
    for maker in {row["maker"] for row in rows}:
        his = np.array([row["maker"] == maker for row in rows])
        values = fitted(kind, [row for row, one in zip(rows, his, strict=True) if not one])
        with foil(kind, values):
            found[his] = errors([row for row, one in zip(rows, his, strict=True) if one])
    return rows, found
