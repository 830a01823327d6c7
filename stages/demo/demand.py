"""Who orders what and when, and what date the counter gives them. Pure and invented."""

import random
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from stages.demo import words
from stages.demo.catalogue import INCH, MODELS, Model
from stages.demo.days import ZONE, desk_time, shut

# Orders against an ordinary month: few in the dark, most before the summer.
_SEASON = [0.75, 1.0, 1.25, 1.35, 1.3, 1.1, 0.85, 0.95, 1.0, 0.9, 0.8, 0.7]
# Days the counter adds by feel.
_LONGER = [0, 0, 0, 0, 2, 8, 9, 3, 0, 0, 0, 3]
_BOARDS_A_DAY = 2.9


@dataclass
class Buyer:
    kind: str
    name: str
    phone: str
    email: str
    added_at: datetime
    likes: Model = MODELS[0]
    size: int = 0


@dataclass
class Asked:
    """One board as ordered. `changes` are later revisions: (when, fields, reason)."""

    order: int
    buyer: int
    model: Model
    spec: dict
    price_cents: int
    ordered_at: datetime
    promised_on: date
    changes: list[tuple[datetime, dict, str]] = field(default_factory=list)
    cancelled_at: datetime | None = None
    comes_shaped: bool = False


def buyers(rng: random.Random, count: int, since: datetime) -> list[Buyer]:
    """`count` in all: one label, two shops, the rest riders."""
    businesses = [("label", words.LABEL), *(("shop", name) for name in words.SHOPS)]
    pairs = [(first, last) for first in words.FIRST_NAMES for last in words.SURNAMES]
    names = rng.sample(pairs, count - len(businesses))
    phones = rng.sample(words.PHONES, len(words.PHONES))
    made = []
    for index, (kind, name) in enumerate(
        businesses + [("rider", f"{first} {last}") for first, last in names]
    ):
        plain = name.lower().translate(str.maketrans("åøæ ", "aoa.")).replace("..", ".")
        made.append(
            Buyer(
                kind,
                name,
                phones[index % len(phones)],
                f"{plain}@example.com" if rng.random() < 0.9 or kind != "rider" else "",
                since,
                rng.choices(MODELS, [model.share for model in MODELS])[0],
                round(rng.gauss(0, 1.4)),
            )
        )
    return made


class Counter:
    """The shop's counter: more come before the summer, fewer when the wait gets long.

    `wanted(at)` is how many boards the order book holds when the wait feels right.
    """

    def __init__(self, rng: random.Random, crowd: list[Buyer], wanted):
        self.rng, self.crowd, self.wanted = rng, crowd, wanted
        self.due, self.orders = 0.0, 0

    def ordered_on(self, at: datetime, waiting: int) -> list[Asked]:
        """The boards ordered on the day that starts at `at`, with `waiting` not yet released."""
        self.due += _BOARDS_A_DAY * _SEASON[at.astimezone(ZONE).month - 1] * self.rng.uniform(0, 2)
        self.due += max(-4.0, min(8.0, 0.2 * (self.wanted(at) - waiting)))
        self.due = max(self.due, -6.0)
        boards = []
        while self.due >= 1:
            self.orders += 1
            when = at + timedelta(minutes=self.rng.uniform(0, 420))
            taken = len(boards)
            boards += one_order(self.rng, self.crowd, self.orders, when, waiting)
            self.due -= len(boards) - taken
        return sorted(boards, key=lambda board: board.ordered_at)


def one_order(
    rng: random.Random, crowd: list[Buyer], order: int, at: datetime, waiting: int
) -> list[Asked]:
    pick = rng.random()
    buyer, count = rng.randrange(3, len(crowd)), 1 + (rng.random() < 0.05)
    if pick < 0.06:
        buyer, count = 0, rng.randint(3, 6)
    elif pick < 0.11:
        buyer, count = rng.choice([1, 2]), rng.randint(2, 5)
    promised = promise(rng, at.astimezone(ZONE).date(), crowd[buyer].kind, waiting)
    return [_board(rng, crowd[buyer], buyer, order, at, promised) for _ in range(count)]


def shaped_order(
    rng: random.Random, crowd: list[Buyer], order: int, at: datetime, days: list[int]
) -> list[Asked]:
    """The label's own shapes, brought to be glassed; each promised so many days on, on a Friday."""
    boards = []
    fishes = [model for model in MODELS if model.board_class == "fish"]
    for count, more in enumerate(days):
        day = at.astimezone(ZONE).date() + timedelta(days=more)
        day += timedelta(days=(4 - day.weekday()) % 7)
        board = _board(rng, crowd[0], 0, order, at, day)
        model = fishes[count % len(fishes)]
        board.model, board.price_cents, board.comes_shaped = model, model.price // 2, True
        board.spec = {
            **model.size(count - 1), **model.choices, "colour": "Clear", "art": "",
            "extras": "", "bay_notes": "",
        }
        boards.append(board)
    return boards


def promise(rng: random.Random, day: date, kind: str, waiting: int) -> date:
    """A Friday some weeks off, by feel: by the pile of papers, a little more for the trade."""
    days = 23 + waiting / 2.6 + rng.gauss(0, 7) + _LONGER[day.month - 1] + 4 * (kind != "rider")
    on = day + timedelta(days=round(max(days, 21)))
    on += timedelta(days=(4 - on.weekday()) % 7)
    while shut(on):
        on += timedelta(days=7)
    return on


def _board(rng, buyer: Buyer, index: int, order: int, at: datetime, promised: date) -> Asked:
    likes_it = buyer.kind == "rider" and rng.random() < 0.6
    shares = [model.share for model in MODELS]
    model = buyer.likes if likes_it else rng.choices(MODELS, shares)[0]
    spec = model.size(max(-3, min(4, buyer.size + rng.choice([-1, 0, 0, 0, 1])))) | model.choices
    spec |= {
        "colour": rng.choice(words.COLOURS),
        "art": rng.choice(words.ART),
        "extras": rng.choice(words.EXTRAS),
        "bay_notes": rng.choice(words.BAY_NOTES),
    }
    price = model.price
    if rng.random() < (0.55 if model.board_class == "longboard" else 0.1):
        spec["finish"], price = "gloss", price + 14_000
    elif rng.random() < 0.15:
        spec["finish"] = "sprayed"
    if model.board_class == "longboard" and rng.random() < 0.4:
        spec["leash_plug"] = "none"
    if model.board_class in {"fish", "mid_length"} and rng.random() < 0.1:
        spec["box_kind"], price = "glassed_on", price + 9_000
    price += 4_500 * ("tint" in spec["colour"]) + 6_000 * bool(spec["art"])
    return Asked(order, index, model, spec, price, at, promised)


def grown(spec: dict, change: dict) -> dict:
    """A change's fields in stored units: width in 1/8 in and thickness in 1/16 in more."""
    fields = dict(change)
    if "width" in fields:
        fields["width_nm"] = spec["width_nm"] + INCH // 8 * fields.pop("width")
    if "thickness" in fields:
        fields["thickness_nm"] = spec["thickness_nm"] + INCH // 16 * fields.pop("thickness")
    return fields


def collected(rng: random.Random, kind: str, ready_at: datetime) -> datetime:
    """When a finished board leaves: the trade's van comes on Fridays, riders when they can."""
    if kind != "rider":
        day = ready_at.astimezone(ZONE).date()
        day += timedelta(days=(4 - day.weekday()) % 7 or 7)
        noon = datetime.combine(day, datetime.min.time(), ZONE) + timedelta(hours=14)
        return desk_time(rng, noon.astimezone(ready_at.tzinfo))
    return desk_time(rng, ready_at + timedelta(days=min(rng.expovariate(1 / 2.2) + 0.1, 12)))
