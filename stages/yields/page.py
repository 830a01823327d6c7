"""What the page of quality says first, and what its tables link to."""

from dataclasses import dataclass
from datetime import date
from itertools import groupby
from math import exp

from orders.orderbook.models import Board
from stages.statistics.control import FALSE_ONCE_IN
from stages.statistics.control import RULES as ALL
from stages.yields.control import Control
from stages.yields.report import Report
from stages.yields.words import RULES, Said, said, week_point


@dataclass(frozen=True)
class Flag:
    """One flagged point of a chart, and what it opens: a board by its number, or the list of its
    `figure` in the week from a Monday."""

    said: Said
    figure: str = ""
    week: date | None = None
    board: int | None = None


@dataclass(frozen=True)
class Together:
    """Flags of a chart that follow each other and mean the same: told in one sentence."""

    flags: list[Flag]

    @property
    def means(self) -> str:
        return self.flags[0].said.means

    @property
    def rules(self) -> str:
        return "; ".join(sorted({rule for flag in self.flags for rule in flag.said.rules}))


def together(flags: list[Flag]) -> list[Together]:
    return [Together(list(same)) for _, same in groupby(flags, key=lambda flag: flag.said.means)]


@dataclass(frozen=True)
class Rule:
    number: int
    name: str
    used: bool
    turned: str  # the rules as the address has them once this one is turned over


@dataclass(frozen=True)
class StageFlags:
    """A stage's minutes: how many boards were held to its limits, and how many stand out."""

    key: int
    name: str
    points: int
    flags: int


@dataclass(frozen=True)
class Page:
    at: int | None
    numbers: dict[int, int]
    share: list[Together]
    rate: list[Together]
    minutes: list[Together]
    mass: list[Together]
    stages: list[StageFlags]
    worst: tuple[str, str, int] | None
    sources: list[tuple[str, int]]
    table: list[tuple[str, list[tuple[int, int]]]]
    rules: list[Rule]

    @property
    def weeks_out(self) -> list[Flag]:
        """The weeks that stand out, each once, the newest first."""
        told = [*self.rate, *self.share]
        first = {flag.week: flag for one in told for flag in one.flags}
        return [first[week] for week in sorted(first, reverse=True)]

    @property
    def all_rules(self) -> bool:
        return all(rule.used for rule in self.rules)

    @property
    def by_chance(self) -> int:
        """Boards among those of every stage that chance alone would flag, by all the rules."""
        return round(sum(stage.points for stage in self.stages) / FALSE_ONCE_IN)

    @property
    def stages_out(self) -> list[StageFlags]:
        return [stage for stage in self.stages if stage.flags]


def page_of(found: Report, at: str) -> Page:
    """`at` is the stage asked for; else the one whose minutes stand out most."""
    stages = [
        StageFlags(key, found.names[key], control.points, len(control.flagged))
        for key, control in found.minutes.items()
    ]
    key = int(at) if at and int(at) in found.minutes else None
    if key is None and stages:
        key = max(stages, key=lambda stage: stage.flags).key
    boards = Board.objects.filter(pk__in=found.boards.get(key, []))
    numbers = dict(boards.values_list("pk", "number"))
    return Page(
        at=key,
        numbers=numbers,
        share=together(_weekly(found, found.share, "settled", "of {} sent back")),
        rate=together(
            _weekly(found, found.rate, "defects", "defects in {} boards’ worth of work")
        ),
        minutes=together(_minutes(found, key, numbers)) if key is not None else [],
        mass=together(_mass(found)),
        stages=stages,
        worst=_worst(found),
        sources=[(row.name, found.keys[row.name]) for row in found.sources],
        table=_table(found),
        rules=_rules(found.rules),
    )


def _weekly(found: Report, control: Control, figure: str, what: str) -> list[Flag]:
    def point(index: int) -> str:
        count, size = control.count[index], control.size[index]
        return week_point(found.weeks.monday(index), count, size, what)

    told = said(control, point, good=True, what="week")
    return [Flag(one, figure, week=found.weeks.monday(one.index)) for one in told]


def _minutes(found: Report, key: int, numbers: dict[int, int]) -> list[Flag]:
    control, boards = found.minutes[key], found.boards[key]

    def point(index: int) -> str:
        return f"Board {numbers[boards[index]]}: {exp(control.values[index]):.0f} minutes."

    told = said(control, point, good=None, what="board")
    return [Flag(one, board=numbers[boards[one.index]]) for one in told]


def _mass(found: Report) -> list[Flag]:
    if found.mass is None:
        return []
    values = found.mass.values
    told = said(
        found.mass,
        lambda index: f"Board weighed {index + 1}: {values[index]:+.1f} %.",
        good=None,
        what="board",
    )
    return [Flag(one) for one in told]


def _worst(found: Report) -> tuple[str, str, int] | None:
    """What was wrong most often and where that came from, and how often."""
    if not found.cells:
        return None
    (what, source), count = max(found.cells.items(), key=lambda cell: (cell[1], cell[0]))
    return what, source, count


def _table(found: Report) -> list[tuple[str, list[tuple[int, int]]]]:
    """Kinds down, the stages they came from across, both the most first: (stage's key, count)."""
    sources = [row.name for row in found.sources]
    return [
        (row.name, [(found.keys[one], found.cells.get((row.name, one), 0)) for one in sources])
        for row in found.kinds
    ]


def _rules(used: tuple[int, ...]) -> list[Rule]:
    found = []
    for number in ALL:
        turned = sorted(set(used) ^ {number})
        told = "".join(map(str, turned)) or "0"
        found.append(Rule(number, RULES[number], number in used, told))
    return found
