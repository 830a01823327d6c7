"""A bay's boards as the tiles of its wall screen, worded once a board.

How large the letters must be: a letter is read with ease at 200 times its height (common practice
for signs, no source; 1 in 200 is an angle of 17 minutes of arc, where normal sight resolves 5 for
a whole letter). At four metres that is 2 cm. The style sheet's unit is a hundredth of the screen's
height: words are set at 5.2 of them and numbers at 9, and a capital of our fonts is 0.73 of its
size, so on a 43-inch screen (53 cm high) words stand 2.0 cm and numbers 3.5 cm tall. A tablet on
the bench (14 cm high) shows numbers of 0.9 cm, read with ease at 1.8 m.
"""

import hashlib
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import lru_cache
from operator import attrgetter

from django.utils.safestring import SafeString
from django.utils.translation import gettext

from orders.shape.units import NM_PER_MM, format_length
from orders.specs.choices import TailShape
from stages.floor.racks import Words, day_words, late_words
from stages.log.fold import Position, State
from stages.mixing.coats import progress_at

# The frame all boards are drawn in, lying on a rail: one scale for the whole screen.
LONGEST_MM, WIDEST_MM, EDGE_MM = 3000, 640, 20
_TAILS = dict(TailShape.choices)
_GROUPS = ("in_hand", "waiting", "held", "resting", "coming", "away")
_HEADS = {
    "in_hand": "In hand",
    "waiting": "To take",
    "held": "Held",
    "resting": "Rests",
    "coming": "Comes",
    "away": "Away",
}
_COUNTED = {"resting": "resting", "coming": "to come"}


@dataclass(frozen=True)
class Tile:
    """One board. `until` and `since` are moments for the clock that counts on the screen."""

    number: str
    state: str
    head: str
    says: str
    under: str
    late: bool
    label: str
    picture: SafeString
    since: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True)
class Wall:
    tiles: list[Tile] = field(default_factory=list)
    counts: list[tuple[str, int]] = field(default_factory=list)
    version: str = ""


def wall_of(rows: list[dict], *, bay: int, several: bool, words: Words) -> Wall:
    """The tiles in the order they matter; `several` stages in one bay: each tile names its own."""
    groups: dict[str, list[Tile]] = {name: [] for name in _GROUPS}
    until = attrgetter("until")
    order = {"resting": until, "coming": until, "in_hand": attrgetter("since")}
    for row in rows:
        tile = _tile(row, bay, several, words, place=len(groups["waiting"]) + 1)
        groups[tile.state].append(tile)
    for name, key in order.items():
        groups[name].sort(key=key)
    tiles = [tile for name in _GROUPS for tile in groups[name]]
    counts = [
        (_COUNTED.get(name, _HEADS[name].lower()), len(found))
        for name, found in groups.items()
        if found
    ]
    told = repr([(t.number, t.state, t.head, t.says, t.under, t.label, t.until) for t in tiles])
    return Wall(tiles, counts, hashlib.sha256(told.encode()).hexdigest()[:16])


def _tile(row: dict, bay: int, several: bool, words: Words, *, place: int) -> Tile:
    state, since, until = row["state"], row["since"], row["rests_until"]
    if state == State.RESTING and until <= words.now:
        state, since = State.WAITING.value, until
    elif state == State.RESTING and row["rested_in"] != bay:
        state = "coming"
    late = words.late_by(row["board__promised_on"])
    under = late_words(late) if late else _promised(row["board__promised_on"])
    stage = row["stage__name"]
    head, says, clock = _HEADS[state], stage if several else "", {}
    coats = _coats(row["folded"])
    if state == State.IN_HAND:
        says, clock = f"{row['holder__name']} {words.hour(since)}", {"since": since}
        under = coats or under
    elif state == State.WAITING:
        head = "First in line" if row["board__first_in_line"] else f"{place}. to take"
        says, under = under, coats or says or _shape(row, words.unit)
    elif state == State.HELD:
        # The reason takes both lines, so that it is read whole.
        head, says, under = f"{head} · {under.removeprefix('for ')}", row["reason"], ""
    elif state in (State.RESTING, "coming"):
        clock = {"until": until}
        says = f"to {words.hour(until)}"
        if several or row["stage__bay_id"] != bay:
            under = f"then {stage}"
    else:
        due = date.fromisoformat(row["away_due"])
        over = (words.today - due).days
        late = max(0, over)
        says = f"back {day_words(due)}"
        under = f"{over} day{'' if over == 1 else 's'} over" if over > 0 else "due back"
    return Tile(
        number=str(row["board__number"]),
        state=state,
        head=head,
        says=says,
        under=under,
        late=bool(late),
        label=row["label"],
        picture=lying(
            row["board__spec__length_nm"],
            row["board__spec__silhouette"],
        ),
        **clock,
    )


def _coats(folded: dict) -> str:
    """How far a board is with its coats, once the first is poured: 2/4, filler bottom next."""
    steps, index = folded["steps"], folded["index"]
    if index >= len(steps) or not steps[index].get("coats"):
        return ""
    poured, due, coat = progress_at(Position.from_json(folded))
    if not due:
        return ""
    following = gettext("all poured")
    if coat:
        following = gettext("%(coat)s next") % {"coat": coat.replace(",", "").lower()}
    return f"{poured}/{due}, {following}"


def _shape(row: dict, unit: str) -> str:
    length = format_length(row["board__spec__length_nm"], "mm" if unit == "mm" else "ftin")
    return f"{length} {_TAILS[row['board__spec__tail_shape']].lower()}"


def _promised(on: date | None) -> str:
    return f"for {day_words(on)}" if on else "no date"


@lru_cache(maxsize=4000)
def lying(length_nm: int, outline: str) -> SafeString:
    """The board on its rail, nose to the left, in a frame that is the same for every board."""
    tall = length_nm / NM_PER_MM
    frame = max(LONGEST_MM, tall) + 2 * EDGE_MM
    return SafeString(
        f'<svg class="lying" viewBox="{-EDGE_MM} {-WIDEST_MM / 2:.0f} {frame:.0f} {WIDEST_MM}" '
        f'preserveAspectRatio="xMinYMid meet" aria-hidden="true">'
        f'<path class="hull" transform="rotate(-90)" d="{outline}"/></svg>'
    )
