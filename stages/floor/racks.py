"""The floor as racks: which board stands in which bay, and what is written on it.

Everything is worded here, once a board, so that the page only prints it.
"""

from dataclasses import dataclass, field
from datetime import date, datetime
from functools import lru_cache
from zoneinfo import ZoneInfo

from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe

from orders.shape.units import format_length
from orders.specs.choices import TailShape
from stages.log.fold import State

NM_PER_MM = 1_000_000
# One scale for the whole floor, in CSS pixels a millimetre: a 9'6" longboard is 145 px tall.
SCALE, DENSE_SCALE = 0.05, 0.042
DENSE_FROM = 60  # boards on the floor
EDGE_MM = 25  # kept free around an outline for its line
READY = "ready"
_ORDER = {"in-hand": 0, "waiting": 1, "held": 2, "resting": 3, "ready": 1}
_NEVER = date.max
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
        words = {"waiting": "waiting", "in-hand": "in hand", "resting": "resting", "held": "held",
                 "ready": "to be fetched"}
        counts = {key: sum(b["state"] == key for b in self.boards) for key in words}
        return " · ".join(f"{n} {words[key]}" for key, n in counts.items() if n) or "empty"


@dataclass(frozen=True)
class Words:
    """How dates and times are written, worked out once a page and not once a board."""

    now: datetime
    zone: ZoneInfo
    unit: str

    @property
    def today(self) -> date:
        return self.now.astimezone(self.zone).date()

    def hour(self, at: datetime) -> str:
        """15:20 today, Thu 8:00 within six days, else Thu 4 Dec."""
        local = at.astimezone(self.zone)
        days = abs((local.date() - self.today).days)
        if not days:
            return f"{local:%H:%M}"
        return f"{local:%a} {local:%H:%M}" if days < 7 else day_words(local.date())

    def late_by(self, promised: date | None) -> int:
        """Days past the promised date."""
        return max(0, (self.today - promised).days) if promised else 0


@lru_cache(maxsize=2000)
def day_words(on: date) -> str:
    return f"{on:%a} {on.day} {on:%b}"


@lru_cache(maxsize=4000)
def _length(nm: int, unit: str) -> str:
    return format_length(nm, "mm" if unit == "mm" else "ftin")


def late_words(days: int) -> str:
    return f"{days} day{'' if days == 1 else 's'} late"


def fill_racks(rows, stages, words: Words) -> list[Rack]:
    """The racks in the order of the bays, the ready rack last; boards by state, then promise.

    `rows` are tuples of queries.COLUMNS, `stages` what queries.floor_stages gives. A bay whose
    stages are all retired shows only while a board still stands in it.
    """
    rows = list(rows)
    scale = DENSE_SCALE if len(rows) > DENSE_FROM else SCALE
    racks, bay_of, several = {}, {}, {}
    for pk, name, _minutes, bay, bay_name, outside, _retired in stages:
        racks.setdefault(bay, Rack(f"bay-{bay}", bay_name, outside))
        bay_of[pk] = (bay, name)
        several[bay] = several.get(bay, 0) + 1
    open_bays = {stage[3] for stage in stages if stage[6] is None}
    ready = Rack(READY, "Ready")
    for row in rows:
        board = _board(row, words, scale)
        if board["state"] == READY:
            ready.boards.append(board)
            continue
        bay, stage = bay_of[row[12] or row[7]]
        if several[bay] > 1 and not board["over"]:
            board["over"] = conditional_escape(stage)
        if board["who"]:
            racks[bay].people.append(board["who"])
        racks[bay].boards.append(board)
    shown = [rack for bay, rack in racks.items() if bay in open_bays or rack.boards]
    for rack in [*shown, ready]:
        rack.boards.sort(key=lambda b: (_ORDER[b["state"]], b["rank"]))
        rack.people = sorted(set(rack.people))
    return [*shown, ready]


def _board(row: tuple, words: Words, scale: float) -> dict:
    """One board as the template prints it; texts are escaped here."""
    (number, promised, length, width, tail, outline, state, _stage, holder, since, until, reason,
     _rests_at) = row
    resting = until is not None and until > words.now
    if state == State.RESTING and not resting:
        state, since = State.WAITING, until
    late = words.late_by(promised) if state != State.READY else 0
    promise = f"promised {day_words(promised)}" if promised else "no date promised"
    under = late_words(late) if late else day_words(promised) if promised else "no date"
    over, clock, is_now = "", "", ""
    shown_state = state.replace("_", "-")
    if state == State.IN_HAND:
        over, clock = conditional_escape(holder), since.isoformat()
        is_now = f"in hand with {holder} since {words.hour(since)}"
    elif state == State.HELD:
        over = mark_safe(f"Held: {conditional_escape(reason)}")
        is_now = f"held since {words.hour(since)}: {reason}"
    elif state == State.RESTING:
        over = mark_safe(f"rests to {words.hour(until)}")
        is_now = over
    elif state == State.READY:
        over = mark_safe(f"since {day_words(since.astimezone(words.zone).date())}")
        is_now = f"ready {over}"
    else:
        is_now = f"waiting since {words.hour(since)}"
    name = (
        f"{number}, {_length(length, words.unit)} {_TAILS.get(tail, tail).lower()}, {is_now}, "
        f"{promise}{', ' + late_words(late) if late else ''}"
    )
    tall, wide = length / NM_PER_MM, width / NM_PER_MM
    return {
        "number": number,
        "state": shown_state,
        "look": f"slot is-{shown_state} is-late" if late else f"slot is-{shown_state}",
        "late": late,
        "rank": (promised or _NEVER, number),
        "who": holder or "",
        "over": over,
        "clock": clock,
        "clock_text": _age((words.now - since).total_seconds()) if clock else "",
        "under": mark_safe(under),
        "name": conditional_escape(name),
        "box": f"{-wide / 2 - EDGE_MM:.0f} {-EDGE_MM} {wide + 2 * EDGE_MM:.0f} "
        f"{tall + 2 * EDGE_MM:.0f}",
        "wide": f"{(wide + 2 * EDGE_MM) * scale:.1f}",
        "tall": f"{(tall + 2 * EDGE_MM) * scale:.1f}",
        "stringer": f"M0 {tall * 0.04:.0f}V{tall * 0.95:.0f}",
        "outline": _safe(outline),
    }


def _safe(path: str) -> SafeString:
    """Path data is letters and numbers the drawing code wrote; escaping would only cost time."""
    return mark_safe(path)


def _age(seconds: float) -> str:
    minutes = max(0, int(seconds // 60))
    if minutes < 24 * 60:
        return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60} min"
    return f"{minutes // 1440} d {minutes // 60 % 24} h"
