"""The week in words and short lists, in the order a manager reads: page and paper say the same."""

from dataclasses import dataclass
from datetime import date

from django.urls import reverse
from django.utils.http import urlencode

from stages.floor.racks import day_words
from stages.forecast.forecast import BoardForecast
from stages.log.fold import State
from stages.templatetags.figures import days_long, percent
from stages.week import words
from stages.week.figures import RUN, WeekFigures

STATES = {
    State.WAITING: "waiting",
    State.IN_HAND: "in hand",
    State.RESTING: "curing",
    State.HELD: "held",
    State.AWAY: "away",
}
MOST = 14  # names in one list; the page it leads to has them all


@dataclass(frozen=True)
class Said:
    """A sentence, and where it opens; `main` is what a reader in a hurry reads."""

    text: str
    to: str = ""
    main: bool = False


@dataclass(frozen=True)
class Row:
    """One line of a list; `board` is the number its first cell opens, 0 for none."""

    cells: tuple[str, ...]
    board: int = 0


@dataclass(frozen=True)
class Section:
    key: str
    title: str
    says: list[Said]
    heads: tuple[str, ...] = ()
    rows: list[Row] | None = None
    more: Said | None = None


MEANINGS = [
    ("Passed QC", "the last QC pass that still stands fell in the week."),
    ("On its day", "passed QC on the promised day or before it; of the boards with a promise."),
    ("True share, interval", "the figure would lie there 95 times in 100 for a floor that stays "
     "as it is: Wilson's for a share, order statistics for a percentile."),
    ("In danger", "the floor played forward a thousand times keeps the promise too seldom."),
    ("Turnaround", "release to QC pass, nights and days off included."),
    ("First pass", "passed QC and was never sent back, at any stage."),
    ("Away", "does not work on a day of their usual week that is not closed."),
]  # fmt: skip


def sections(figures: WeekFigures) -> list[Section]:
    return [
        _passed(figures),
        _danger(figures),
        _holds_back(figures),
        _floor(figures),
        _takes(figures),
        _setbacks(figures),
        _flow(figures),
        _away(figures),
    ]


def _passed(figures: WeekFigures) -> Section:
    passed, share = figures.passed, figures.passed.on_time
    count = words.boards(len(passed.boards))
    said = [Said(f"{count} passed QC.", _list(figures, "passed"), main=True)]
    if share.n:
        said.append(
            Said(f"Of {share.n} with a promise, {share.hits} passed on their day.",
                 _list(figures, "promised"), main=True)
        )  # fmt: skip
        said.append(Said(f"That is {percent(share.share)}; {words.between(share)}."))
    elif passed.boards:
        said.append(Said("None of them had a promise."))
    rows = [
        Row((str(one.number), words.short(one.customer), words.days(late)), one.number)
        for one, late in passed.late[:MOST]
    ]
    more = _more(len(passed.late), "the list of late boards", _list(figures, "late"))
    return Section("passed", "Boards that passed QC", said, ("Late", "For", "By"), rows, more)


def _danger(figures: WeekFigures) -> Section:
    title = "Late now, and in danger"
    if figures.today is None:
        return Section("danger", title, [_only_now("what is in danger")])
    today, to = figures.today, reverse("morning")
    boards = [*today.late, *today.danger]
    said = []
    if today.late:
        verb = "is" if len(today.late) == 1 else "are"
        said.append(f"{words.boards(len(today.late))} {verb} late already.")
    if today.danger:
        promises = f"{len(today.danger)} promise{'' if len(today.danger) == 1 else 's'}"
        said.append(f"{promises} less likely than {today.line_percent} % to be kept.")
    else:
        other = "other " if today.late else ""
        said.append(f"No {other}promise is in danger, under {today.line_percent} %.")
    rows = [
        Row(
            (str(one.number), words.short(today.customers.get(one.number, "")),
             day_words(one.promised_on), _chance(one, figures)),
            one.number,
        )
        for one in boards[:MOST]
    ]  # fmt: skip
    says = [Said(text, to, main=True) for text in said]
    more = _more(len(boards), "Morning", to)
    return Section("danger", title, says, ("Board", "For", "Promised", "Chance"), rows, more)


def _chance(board: BoardForecast, figures: WeekFigures) -> str:
    late = (figures.period.last - board.promised_on).days
    return f"{words.days(late)} late" if late > 0 else board.chance_words


def _holds_back(figures: WeekFigures) -> Section:
    title = "What holds the factory back now"
    if figures.today is None:
        return Section("load", title, [_only_now("what holds the factory back")])
    return Section("load", title, [Said(figures.today.holds_back, reverse("bottleneck"))])


def _floor(figures: WeekFigures) -> Section:
    total = sum(row.boards for row in figures.floor)
    when = "now" if figures.today else "when the week ended"
    to = reverse("floor") if figures.today else _list(figures, "floor", day=figures.period.last)
    states = STATES if figures.today else {}
    rows = [
        Row((row.stage, str(row.boards), *(str(row.states[state]) for state in states)))
        for row in figures.floor
    ]
    said = [Said(f"{words.boards(total)} in process {when}.", to)]
    heads = ("Stage", "Boards", *states.values())
    return Section("floor", "On the floor", said, heads, rows)


def _takes(figures: WeekFigures) -> Section:
    run, own = figures.run, figures.passed.median_days
    to = f"{reverse('turnaround')}?{figures.period.query}"
    said = []
    if own is not None:
        said.append(Said(f"Half of this week's boards took {days_long(own)} or less.", to))
    said.append(Said(f"{words.boards(run.boards)} passed QC in these {RUN} weeks.", to))
    said += [Said(words.percentile(one)) for one in (run.median, run.p80)]
    return Section("takes", "How long a board takes", said)


def _setbacks(figures: WeekFigures) -> Section:
    told = figures.setbacks
    first, to = told.first_pass, reverse("quality-over-time")
    back = f"Sent back {words.times(told.times)}: {words.boards(told.boards)}."
    lost = f"Scrapped: {words.boards(told.scrapped)}, {told.made_again} of them made again."
    said = [
        Said(back if told.times else "None was sent back.", to),
        Said(lost if told.scrapped else "None was scrapped."),
    ]
    if first.n:
        said.append(
            Said(f"First pass: {first.hits} of the {first.n} that passed QC, "
                 f"{percent(first.share)}; {words.between(first)}.", to)
        )  # fmt: skip
    return Section("setbacks", "Sent back, scrapped, made again", said)


def _flow(figures: WeekFigures) -> Section:
    flow, out = figures.flow, len(figures.passed.boards)
    orders = f"{flow.orders} order{'' if flow.orders == 1 else 's'}"
    book = reverse("orders")
    more, so = flow.ordered - out, "as many came in as passed QC"
    if more:
        so = f"{abs(more)} {'more' if more > 0 else 'fewer'} came in than passed QC"
    said = [
        Said(f"In: {words.boards(flow.ordered)} in {orders}. Released: {flow.released}.", book),
        Said(f"Out: {out} passed QC, {flow.handed_over} handed over. So {so}."),
    ]
    return Section("flow", "What came in, what went out", said)


def _away(figures: WeekFigures) -> Section:
    ahead = figures.ahead
    said = [
        Said(f"Closed {words.spans(days)}: {words.short(why)}.", reverse("closed-days"))
        for why, days in _by_reason(ahead.closed).items()
    ]
    rows = [Row((words.short(name), words.spans(days))) for name, days in ahead.away[:MOST]]
    if not rows:
        said.append(Said("Nobody is down as away."))
    title = f"Away in week {ahead.week.number}, the week after"
    more = _more(len(ahead.away), "Crew", reverse("crew"))
    return Section("away", title, said, ("Who", "Days"), rows, more)


def _by_reason(closed: dict[date, str]) -> dict[str, list[date]]:
    found: dict[str, list[date]] = {}
    for day, why in closed.items():
        found.setdefault(why, []).append(day)
    return found


def _only_now(what: str) -> Said:
    return Said(f"Told of the running week only: {what} changes by the hour.")


def _more(count: int, where: str, to: str) -> Said | None:
    return Said(f"and {count - MOST} more, see {where}.", to) if count > MOST else None


def _list(figures: WeekFigures, figure: str, **more) -> str:
    asked = urlencode({"figure": figure, **more})
    return f"{reverse('turnaround-boards')}?{figures.period.query}&{asked}"
