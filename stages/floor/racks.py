"""The floor as racks: which board stands in which bay, and what is written on it.

Everything is worded here, once a board, so that the page only prints it.
"""

from collections import Counter
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property, lru_cache
from zoneinfo import ZoneInfo

from django.utils.html import escape
from django.utils.safestring import SafeString

from orders.shape.units import NM_PER_MM, format_length
from orders.specs.choices import TailShape
from stages.log.fold import State

# One scale for the whole floor, in CSS pixels a millimetre: a 9'6" longboard is 145 px tall.
SCALE, DENSE_SCALE = 0.05, 0.042
DENSE_FROM = 60  # boards on the floor
EDGE_MM = 25  # kept free around an outline for its line
_IN_HAND, _WAITING, _HELD, _RESTING, _READY, _AWAY = (
    state.value
    for state in (
        State.IN_HAND, State.WAITING, State.HELD, State.RESTING, State.READY, State.AWAY
    )
)
_ORDER = {_IN_HAND: 0, _WAITING: 1, _HELD: 2, _RESTING: 3, _READY: 1, _AWAY: 0}
_SUMMED = {
    _WAITING: "waiting",
    _IN_HAND: "in hand",
    _RESTING: "resting",
    _HELD: "held",
    _READY: "to be fetched",
    _AWAY: "away",
}
_NEVER = date.max
_IN_DANGER = SafeString("▲&nbsp;in danger")
_TAILS = dict(TailShape.choices)


@dataclass
class Rack:
    """One bay's rack with its boards as plain dicts for the template."""

    anchor: str
    name: str
    outside: bool = False
    boards: list[dict] = field(default_factory=list)
    people: list[str] = field(default_factory=list)

    @property
    def count(self) -> int:
        return len(self.boards)

    @property
    def summary(self) -> str:
        """4 waiting, 2 in hand, 1 resting, 1 held; only what there is."""
        counts = Counter(board["state"] for board in self.boards)
        found = [f"{counts[state]} {words}" for state, words in _SUMMED.items() if counts[state]]
        return " · ".join(found) or "empty"


@dataclass
class Words:
    """How dates and times are written, worked out once a page and not once a board."""

    now: datetime
    zone: ZoneInfo
    unit: str

    @cached_property
    def today(self) -> date:
        return self.now.astimezone(self.zone).date()

    def hour(self, at: datetime) -> str:
        """15:20 today, Thu 8:00 within six days, else Thu 4 Dec."""
        local = at.astimezone(self.zone)
        on = local.date()
        if on == self.today:
            return f"{local.hour:02}:{local.minute:02}"
        if abs((on - self.today).days) < 7:
            return f"{day_words(on)[:3]} {local.hour:02}:{local.minute:02}"
        return day_words(on)

    def due_back(self, due: date) -> tuple[str, int]:
        """The day due back in words, and how many days ago that was."""
        over = max(0, (self.today - due).days)
        days = f", {over} day{'' if over == 1 else 's'} over" if over else ""
        return f"due back {day_words(due)}{days}", over

    def late_by(self, promised: date | None) -> int:
        """Days past the promised date."""
        return max(0, (self.today - promised).days) if promised else 0


@lru_cache(maxsize=2000)
def day_words(on: date) -> str:
    return f"{on:%a} {on.day} {on:%b}"


@lru_cache(maxsize=2000)
def late_words(days: int) -> SafeString:
    return SafeString(f"{days} day{'' if days == 1 else 's'} late")


def fill_racks(rows, stages, words: Words, *, danger: frozenset[int] = frozenset()) -> list[Rack]:
    """The racks in the order of the bays, the ready rack last; boards by state, then remakes first,
    then by promise.

    `rows` are tuples of queries.COLUMNS, `stages` what queries.floor_stages gives. A bay whose
    stages are all retired shows only while a board still stands in it. `danger` are the numbers of
    boards whose promise is in danger.
    """
    rows = list(rows)
    scale = DENSE_SCALE if len(rows) > DENSE_FROM else SCALE
    racks, bay_of, several, away = {}, {}, {}, {}
    for pk, name, _minutes, bay, bay_name, outside, _retired in stages:
        racks.setdefault(bay, Rack(f"bay-{bay}", bay_name, outside))
        bay_of[pk] = (bay, name)
        several[bay] = several.get(bay, 0) + 1
    open_bays = {stage[3] for stage in stages if stage[6] is None}
    ready = Rack("ready", "Ready")
    for row in rows:
        board = _board(row, words, scale, danger)
        if board["state"] == _READY:
            ready.boards.append(board)
            continue
        bay, stage = bay_of[row[12] or row[7]]
        if board["state"] == _AWAY:
            # What is at the outside bay, apart from what is here and waits to go there.
            there = away.setdefault(bay, Rack(f"away-{bay}", f"Away: {racks[bay].name}", True))
            there.boards.append(board)
            continue
        if several[bay] > 1 and not board["over"]:
            board["over"] = _escaped(stage)
        if board["who"]:
            racks[bay].people.append(board["who"])
        racks[bay].boards.append(board)
    shown = []
    for bay, rack in racks.items():
        if bay in open_bays or rack.boards:
            shown.append(rack)
        if bay in away:
            shown.append(away[bay])
    for rack in [*shown, ready]:
        rack.boards.sort(key=lambda b: (_ORDER[b["state"]], b["rank"]))
        rack.people = sorted(set(rack.people))
    return [*shown, ready]


def _board(row: tuple, words: Words, scale: float, danger: frozenset[int]) -> dict:
    """One board as the template prints it; what people typed is escaped here."""
    (number, promised, length, width, tail, outline, state, _stage, holder, since, until, reason,
     _rests_at, _seq, first, due, label) = row
    if state == _RESTING and until <= words.now:
        state, since = _WAITING, until
    late = words.late_by(promised) if state != _READY else 0
    under = late_words(late) if late else _day_or_none(promised)
    over, clock, clock_text, over_days = "", "", "", 0
    if state == _IN_HAND:
        over = _escaped(holder)
        clock, clock_text = since.isoformat(), _age((words.now - since).total_seconds())
        is_now = f"in hand with {over} since {words.hour(since)}"
    elif state == _HELD:
        over = SafeString(f"Held: {_escaped(reason)}")
        is_now = f"held since {words.hour(since)}: {_escaped(reason)}"
    elif state == _RESTING:
        ends = words.hour(until)
        over, is_now = _two_lines("rests to", ends), f"rests to {ends}"
    elif state == _READY:
        ready_on = day_words(since.astimezone(words.zone).date())
        over, is_now = _two_lines("since", ready_on), f"ready since {ready_on}"
    elif state == _AWAY:
        back, over_days = words.due_back(date.fromisoformat(due))
        over, is_now = SafeString(back), f"away, {back}"
    else:
        is_now = f"waiting since {words.hour(since)}"
    if first:
        is_now, under = f"first in line, {is_now}", SafeString("first in line")
    promise = f"promised {_day_or_none(promised)}" if promised else "no date promised"
    endangered = number in danger and not late and state != _READY
    if late:
        promise = f"{promise}, {late_words(late)}"
    elif endangered:
        promise, under = f"{promise}, promise in danger", _IN_DANGER
    return {
        "number": SafeString(number),  # digits as they are, not localised
        "state": state,
        "look": _look(state, bool(late), bool(over_days), endangered),
        "late": late,
        "endangered": endangered,
        "rank": (not first, promised or _NEVER, number),
        "who": holder or "",
        "over": over,
        "clock": clock,
        "clock_text": clock_text,
        "under": under,
        "label": _escaped(label),
        "name": SafeString(
            f"{number}, {_whose(label)}{_shape(length, tail, words.unit)}, {is_now}, {promise}"
        ),
        "picture": picture(length, width, outline, scale),
    }


@lru_cache(maxsize=4000)
def picture(length_nm: int, width_nm: int, outline: str, scale: float) -> SafeString:
    """The board's outline and stringer as SVG at `scale` CSS pixels a millimetre.

    Kept from one page to the next: a spec revision never changes, and nor does its picture.
    """
    tall, wide = length_nm / NM_PER_MM, width_nm / NM_PER_MM
    across, down = wide + 2 * EDGE_MM, tall + 2 * EDGE_MM
    return SafeString(
        f'<svg viewBox="{-across / 2:.0f} {-EDGE_MM} {across:.0f} {down:.0f}" '
        f'width="{across * scale:.1f}" height="{down * scale:.1f}" aria-hidden="true">'
        f'<path class="hull" d="{outline}"/>'
        f'<path class="stringer" d="M0 {tall * 0.04:.0f}V{tall * 0.95:.0f}"/></svg>'
    )


@lru_cache(maxsize=4000)
def _shape(length_nm: int, tail: str, unit: str) -> str:
    text = format_length(length_nm, "mm" if unit == "mm" else "ftin")
    return escape(f"{text} {_TAILS.get(tail, tail).lower()}")


@lru_cache(maxsize=200)
def _whose(label: str) -> SafeString:
    return SafeString(f"{escape(label)}, ") if label else SafeString("")


@lru_cache(maxsize=64)
def _look(state: str, late: bool, over: bool, endangered: bool) -> SafeString:
    marks = (" is-late" if late else "") + (" is-over" if over else "")
    marks += " is-endangered" if endangered else ""
    return SafeString(f"slot is-{state.replace('_', '-')}{marks}")


@lru_cache(maxsize=2000)
def _day_or_none(on: date | None) -> SafeString:
    return SafeString(day_words(on)) if on else SafeString("no date")


@lru_cache(maxsize=2000)
def _escaped(text: str) -> SafeString:
    return escape(text)


@lru_cache(maxsize=2000)
def _two_lines(first: str, second: str) -> SafeString:
    """Words that may part between the two and nowhere else; neither was typed by anybody."""
    return SafeString(f"{first} {second.replace(' ', '&nbsp;')}")


def _age(seconds: float) -> str:
    minutes = max(0, int(seconds // 60))
    if minutes < 24 * 60:
        return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60} min"
    return f"{minutes // 1440} d {minutes // 60 % 24} h"
