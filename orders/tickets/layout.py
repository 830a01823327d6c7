"""The middle of a ticket: what is odd about the board, then its numbers as the bays read them.

Everything is set as large as fits; what does not fit at the least size goes to the next page.
Nothing is drawn here: a Page holds where every line of words and every bar goes, in points.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from orders.tickets.typeset import BOLD, REGULAR, width, wrap

SIZES = (11.0, 10.5, 10.0, 9.5, 9.0, 8.5, 8.0)
CONTINUED_SIZE = 9.5  # when a second page is needed anyway the type need not be small
LEADING = 1.16
ROW_GAP = 0.12  # of the type size
GUTTER = 9.0
BAR = 6.0  # the thick bar beside what is odd
PAD = 4.0

Row = tuple[list[str], list[str]]  # lines of the label, lines of the value
Group = tuple[str, list[Row]]


@dataclass
class Page:
    """What is printed on one page's middle."""

    texts: list[tuple[float, float, str, str, float]] = field(default_factory=list)
    bars: list[tuple[float, float, float, float]] = field(default_factory=list)  # x, y, w, h
    frames: list[tuple[float, float, float, float]] = field(default_factory=list)


@dataclass
class Body:
    """What is still to be printed, broken into lines for one type size."""

    size: float
    odd: list[str]
    groups: list[Group]

    @property
    def empty(self) -> bool:
        return not self.odd and not self.groups


def broken(
    odd: Sequence[str],
    groups: Sequence[tuple[str, Sequence[tuple[str, str]]]],
    size: float,
    room: float,
) -> Body:
    """The words in lines that fit the room: odd ones across it, groups in two columns."""
    odd_room = room - BAR - 2 * PAD
    lines = []
    for text in odd:
        first, *rest = wrap(f"\u2022 {text}", BOLD, size + 1, odd_room) or [""]
        lines += [first, *rest]
    column = (room - GUTTER) / 2
    sets = []
    for heading, rows in groups:
        label_room = min(
            max((width(label, REGULAR, size) for label, _ in rows), default=0), column * 0.45
        )
        value_room = column - label_room - size * 0.6
        sets.append(
            (
                heading,
                [
                    (
                        wrap(label, REGULAR, size, label_room + 0.1),
                        wrap(value, BOLD, size, value_room) or ["\u2013"],
                    )
                    for label, value in rows
                ],
            )
        )
    return Body(size, lines, sets)


def _row_height(row: Row, size: float) -> float:
    return max(len(row[0]), len(row[1])) * size * LEADING + size * ROW_GAP


def _heading_height(heading: str, size: float, column: float) -> float:
    return len(wrap(heading, BOLD, size, column)) * size * LEADING + size * 0.75


def _group_height(group: Group, size: float, column: float) -> float:
    return _heading_height(group[0], size, column) + sum(_row_height(r, size) for r in group[1])


def _columns(groups: list[Group], size: float, column: float) -> tuple[int, float]:
    """Where to part whole groups into two columns, and the height that takes."""
    heights = [_group_height(group, size, column) for group in groups]
    return min(
        ((at, max(sum(heights[:at]), sum(heights[at:]))) for at in range(len(groups) + 1)),
        key=lambda split: (split[1], -split[0]),
    )


def _pour(groups: list[Group], size: float, room: float, column: float):
    """As many rows as the room holds, and the rest; a group that is parted says so."""
    taken: list[Group] = []
    for at, (heading, rows) in enumerate(groups):
        room -= _heading_height(heading, size, column)
        kept: list[Row] = []
        for number, row in enumerate(rows):
            height = _row_height(row, size)
            if height <= room:
                kept.append(row)
                room -= height
                continue
            lines = int((room - size * ROW_GAP) / (size * LEADING))
            rest = [row, *rows[number + 1 :]]
            if not kept and not taken and lines >= 3:  # one value longer than a whole column
                kept.append((row[0][:lines], row[1][:lines]))
                rest[0] = (row[0][lines:], row[1][lines:])
            if kept:
                taken.append((heading, kept))
                more = heading.removesuffix(" (continued)") + " (continued)"
                return taken, [(more, rest), *groups[at + 1 :]]
            return taken, groups[at:]
        if room < 0:
            return taken, groups[at:]
        taken.append((heading, kept))
    return taken, []


def _set_column(page: Page, groups: list[Group], size: float, x: float, y: float, column: float):
    step = size * LEADING
    for heading, rows in groups:
        for line in wrap(heading, BOLD, size, column):
            y -= step
            page.texts.append((x, y, line, BOLD, size))
        page.bars.append((x, y - size * 0.35, column, 1.0))
        y -= size * 0.45
        label_room = max((width(line, REGULAR, size) for r in rows for line in r[0]), default=0)
        for label, value in rows:
            for number, line in enumerate(label):
                page.texts.append((x, y - step * (number + 1), line, REGULAR, size))
            for number, line in enumerate(value):
                at = x + label_room + size * 0.6
                page.texts.append((at, y - step * (number + 1), line, BOLD, size))
            y -= _row_height((label, value), size)
        y -= size * 0.3


def set_body(body: Body, *, x: float, top: float, room: float, bottom: float):
    """One page of the body between top and bottom, and what is left for the next page."""
    page, size = Page(), body.size
    column = (room - GUTTER) / 2
    at, groups_high = _columns(body.groups, size, column) if body.groups else (0, 0.0)
    rest_odd: list[str] = []
    if body.odd:
        step = (size + 1) * LEADING
        high = top - bottom
        most = max(high / 2, high - groups_high - size) - 2 * PAD
        lines = body.odd
        if len(lines) * step > most:
            fits = max(1, int(most / step) - 1)
            lines, rest_odd = lines[:fits] + ["\u2026 continued on the next page"], lines[fits:]
        tall = len(lines) * step + 2 * PAD
        page.frames.append((x, top - tall, room, tall))
        page.bars.append((x, top - tall, BAR, tall))
        for number, line in enumerate(lines):
            y = top - PAD - step * number - size
            page.texts.append((x + BAR + PAD, y, line, BOLD, size + 1))
        top -= tall + size * 0.4
    if not body.groups:
        return page, Body(size, rest_odd, [])
    if groups_high <= top - bottom:
        left, right, rest = body.groups[:at], body.groups[at:], []
    else:
        left, rest = _pour(body.groups, size, top - bottom, column)
        right, rest = _pour(rest, size, top - bottom, column)
        if rest:
            left, rest = _pour(body.groups, size, top - bottom - size * LEADING, column)
            right, rest = _pour(rest, size, top - bottom - size * LEADING, column)
            note = "\u2026 continued on the next page"
            page.texts.append((x, bottom + size * 0.25, note, BOLD, size))
    _set_column(page, left, size, x, top, column)
    _set_column(page, right, size, x + column + GUTTER, top, column)
    return page, Body(size, rest_odd, rest)


def largest_body(odd, groups, *, x: float, top: float, room: float, bottom: float):
    """The first page of the body in the largest type that leaves nothing over."""
    for size in SIZES:
        page, rest = set_body(
            broken(odd, groups, size, room), x=x, top=top, room=room, bottom=bottom
        )
        if rest.empty:
            return page, rest
    return set_body(
        broken(odd, groups, CONTINUED_SIZE, room), x=x, top=top, room=room, bottom=bottom
    )
