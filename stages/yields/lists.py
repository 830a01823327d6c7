"""The boards behind each figure of quality, row by row, for the page and for the file."""

from collections import Counter
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from orders.orderbook.models import Board
from stages.turnaround.periods import Period
from stages.turnaround.queries import stage_names
from stages.yields import queries
from stages.yields.forms import FIGURES
from stages.yields.report import NOT_SAID, first_pass_marks

Cell = str | int | float | date


@dataclass(frozen=True)
class Wanted:
    """What an address asks for; `step` is a stage's key, 0 where none was said, None any."""

    figure: str
    period: Period
    week: date | None = None
    kind: str = ""
    step: int | None = None

    @property
    def span(self) -> Period:
        """The period, or one of its weeks whole: charts count whole weeks."""
        if self.week is None:
            return self.period
        last = min(self.week + timedelta(days=6), self.period.last)
        return replace(self.period, first=self.week, last=last, name="")


@dataclass(frozen=True)
class Listed:
    """A table: its first column is the board's number; `meaning` is the page's that tells of it."""

    title: str
    meaning: str
    headings: tuple[str, ...]
    rows: list[tuple[Cell, ...]]


def listed(wanted: Wanted) -> Listed:
    names = stage_names() | {0: NOT_SAID}
    match wanted.figure:
        case "defects":
            headings = ("What", "Came from", "Logged", "Found at", "Back to", "Note")
            rows = _defects(wanted, names)
        case "minutes":
            headings, rows = ("Finished", "Minutes"), _minutes(wanted)
        case "mass":
            headings, rows = ("Weighed", "Off the reckoned middle, %"), _masses(wanted)
        case _:
            headings, rows = ("Came through", "Sent back", "Outcome"), _settled(wanted, names)
    title, meaning = FIGURES[wanted.figure]
    if wanted.kind:
        title += f": {wanted.kind}"
    if wanted.step is not None:
        title += f", {names.get(wanted.step, NOT_SAID)}"
    return Listed(title, meaning, ("Board", *headings, "For"), _with_boards(rows))


def _with_boards(rows: list[tuple]) -> list[tuple[Cell, ...]]:
    """Each row's board key made its number, and whom it is for put last."""
    boards = Board.objects.filter(pk__in={row[0] for row in rows})
    told = {
        pk: (number, name)
        for pk, number, name in boards.values_list("pk", "number", "order__customer__name")
    }
    return [(told[key][0], *cells, told[key][1]) for key, *cells in rows]


def _defects(wanted: Wanted, names: dict[int, str]) -> list[tuple]:
    return [
        (
            fault.board,
            fault.what,
            names.get(fault.came_from, NOT_SAID),
            wanted.span.local_day(fault.at),
            names.get(fault.found_at, NOT_SAID),
            "given up" if fault.lost else names.get(fault.back_to, NOT_SAID),
            fault.note,
        )
        for fault in reversed(queries.faults_found(wanted.span))
        if wanted.kind in ("", fault.what) and wanted.step in (None, fault.came_from)
    ]


def _minutes(wanted: Wanted) -> list[tuple]:
    steps = queries.steps_finished(wanted.span)
    mine = np.flatnonzero((steps.stage == wanted.step) & (steps.minutes > 0))[::-1]
    return [
        (int(steps.board[i]), date.fromordinal(int(steps.day[i])), round(float(steps.minutes[i])))
        for i in mine
    ]


def _masses(wanted: Wanted) -> list[tuple]:
    boards, off, days = (column.tolist() for column in queries.masses(wanted.span))
    rows = zip(boards, map(date.fromordinal, days), (round(one, 1) for one in off), strict=True)
    return list(rows)[::-1]


def _settled(wanted: Wanted, names: dict[int, str]) -> list[tuple]:
    """With a stage, the boards that came to it, right or sent back there."""
    settled = queries.settled(wanted.span)
    faults = queries.faults_of_settled(wanted.span)
    times = Counter(fault.board for fault in faults if not fault.lost)
    wrong = np.isin(settled.board, [fault.board for fault in faults])
    keep = np.ones(len(settled.board), dtype=bool)
    if wanted.step in names and wanted.step:
        came, back = first_pass_marks(
            settled, queries.stages_come_to(wanted.span), faults, list(names)
        )
        place = list(names).index(wanted.step)
        keep, wrong = came[:, place], back[:, place]
    if wanted.figure != "settled":
        keep = keep & (wrong == (wanted.figure == "sent-back"))
    rows = [
        (
            int(settled.board[i]),
            date.fromordinal(int(settled.day[i])),
            times[int(settled.board[i])],
            f"given up at {names[int(settled.lost_at[i])]}" if settled.lost_at[i] else "passed",
        )
        for i in np.flatnonzero(keep)
    ]
    return sorted(rows, key=lambda row: row[1], reverse=True)
