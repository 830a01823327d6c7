"""Reads and prints weekly hours: 8:00-12:00, 12:30-16:00. Pure."""

import re
from itertools import groupby

_SPAN = re.compile(r"^(\d{1,2})(?:[:.](\d{2}))?\s*(?:-|–|to)\s*(\d{1,2})(?:[:.](\d{2}))?$")


_SHORT = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]


class HoursError(ValueError):
    """What was typed are no hours; the message says what to type."""


def parse_day(text: str) -> list[list[int]]:
    """Spans of one day in minutes from midnight, in order. Empty text is a day off."""
    spans = []
    for part in filter(None, (piece.strip() for piece in re.split(r"[,;]", text))):
        match = _SPAN.match(part)
        if not match:
            raise HoursError(f"{part!r} are no hours. Type them like 8:00-12:00, 12:30-16:00.")
        h1, m1, h2, m2 = (int(group or 0) for group in match.groups())
        start, end = h1 * 60 + m1, h2 * 60 + m2
        if m1 > 59 or m2 > 59 or end > 24 * 60:
            raise HoursError(f"{part!r} is no time of day.")
        if end <= start:
            raise HoursError(f"{part!r} ends before it starts.")
        spans.append([start, end])
    spans.sort()
    for before, after in zip(spans, spans[1:], strict=False):
        if after[0] < before[1]:
            raise HoursError("Two spans overlap. Write each stretch of work once.")
    return spans


def format_day(spans: list[list[int]]) -> str:
    return ", ".join(f"{_clock(start)}-{_clock(end)}" for start, end in spans)


def format_week(week: list[list[list[int]]]) -> str:
    """Mon to Thu 8:00-17:00; Fri 8:00-12:00"""
    return "; ".join(week_lines(week))


def week_lines(week: list[list[list[int]]]) -> list[str]:
    """Days alike that follow each other are said once, days off not at all."""
    said = []
    for spans, days in groupby(enumerate(week), key=lambda day: format_day(day[1])):
        first, *more = [_SHORT[number] for number, _ in days]
        if spans:
            said.append(f"{first} to {more[-1]} {spans}" if more else f"{first} {spans}")
    return said


def _clock(minutes: int) -> str:
    return f"{minutes // 60}:{minutes % 60:02}"
