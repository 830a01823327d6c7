"""What waits to go to an outside bay, what is there, and what a manifest's boards need."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.core.cache import cache

from orders.orderbook.models import Board, in_turn
from stages.log.fold import Position as Folded
from stages.log.fold import State, Step
from stages.log.models import Position
from stages.outside.models import Manifest, ManifestBoard
from stages.routes.models import Bay, Stage

RECENT = timedelta(days=60)
_SECONDS = 30


def stages_of(bay: Bay | int | None) -> frozenset[int]:
    return frozenset(Stage.objects.filter(bay=bay).values_list("pk", flat=True))


def outside_stages() -> dict[int, tuple[int, str]]:
    """By stage done elsewhere: its bay's key and name. Read every 30 s at most."""
    if (found := cache.get("outside-stages")) is None:
        rows = Stage.objects.filter(bay__outside=True).values_list("pk", "bay_id", "bay__name")
        found = {pk: (bay, name) for pk, bay, name in rows}
        cache.set("outside-stages", found, _SECONDS)
    return found


def forget_outside_stages() -> None:
    cache.delete("outside-stages")


def steps_there(folded: Folded, there: frozenset[int]) -> list[Step]:
    """The steps from the present one on that are done at one bay before the board is needed
    anywhere else."""
    steps = []
    for step in folded.steps[folded.index :]:
        if step.stage not in there:
            break
        steps.append(step)
    return steps


def folded_by_board(boards: Iterable[Board]) -> dict[int, Folded]:
    rows = Position.objects.filter(board__in=[board.pk for board in boards])
    return {pk: Folded.from_json(folded) for pk, folded in rows.values_list("pk", "folded")}


def boards_promised_elsewhere(boards: Iterable[Board]) -> dict[int, int]:
    """By board that stands on a manifest nobody has left with yet: that manifest's number."""
    open_lines = ManifestBoard.objects.filter(
        board__in=[board.pk for board in boards],
        manifest__sent_at=None,
        manifest__dropped_at=None,
    )
    return dict(open_lines.values_list("board_id", "manifest__number"))


@dataclass
class OutsideBay:
    """One outside bay as the page shows it; boards are positions with their board and spec."""

    bay: Bay
    waiting: list[Position] = field(default_factory=list)
    away: list[Position] = field(default_factory=list)
    manifests: list[Manifest] = field(default_factory=list)


def outside_bays(*, now: datetime, today: date) -> list[OutsideBay]:
    """Every outside bay with what waits for it, what is there, and its papers: four queries."""
    bays = {bay.pk: OutsideBay(bay) for bay in Bay.objects.filter(outside=True)}
    if not bays:
        return []
    rows = (
        Position.objects.filter(on_floor=True, stage__bay__in=bays)
        .select_related("board__spec", "board__order__customer", "stage")
        .order_by(*in_turn("board__"))
    )
    rows = list(rows)
    on_paper = boards_promised_elsewhere([row.board for row in rows])
    for row in rows:
        folded, bay = Folded.from_json(row.folded), bays[row.stage.bay_id]
        if folded.state is State.AWAY:
            row.due = date.fromisoformat(folded.away["due"])
            row.over = max(0, (today - row.due).days)
            row.manifest = folded.away["manifest"]
            bay.away.append(row)
        elif row.pk not in on_paper and not folded.started:
            row.rests = folded.state_at(now) is State.RESTING
            if folded.state_at(now) in (State.WAITING, State.RESTING):
                bay.waiting.append(row)
    for bay in bays.values():
        bay.away.sort(key=lambda row: (row.due, row.board.number))
    papers = Manifest.objects.filter(bay__in=bays, dropped_at=None, made_at__gte=now - RECENT)
    for manifest in papers.prefetch_related("lines"):
        bays[manifest.bay_id].manifests.append(manifest)
    return list(bays.values())


@dataclass(frozen=True)
class Line:
    """One board of a manifest: the steps it goes for, or where it is instead."""

    board: Board
    steps: list[Step]
    away: bool
    came_back: bool
    over: int  # days past the day due back


def lines_of(manifest: Manifest, *, today: date) -> list[Line]:
    """The manifest's boards with what is to be done; three queries however many there are."""
    there = stages_of(manifest.bay_id)
    boards = [
        line.board
        for line in manifest.lines.select_related(
            "board__spec__design_version__design", "board__order__customer"
        )
    ]
    here = folded_by_board(boards)
    return [_line(board, here.get(board.pk), manifest, there, today) for board in boards]


def _line(board, folded, manifest, there, today) -> Line:
    mine = folded and folded.away.get("manifest") == manifest.number
    steps = steps_there(folded, there) if folded else []
    return Line(
        board=board,
        steps=steps,
        away=bool(mine),
        came_back=bool(manifest.sent_at) and not mine,
        over=max(0, (today - manifest.due_on).days) if mine else 0,
    )


def manifest_by_code(code: str) -> Manifest | None:
    return Manifest.objects.select_related("bay", "made_by").filter(code=code).first()


def is_manifest(code: str) -> bool:
    return Manifest.objects.filter(code=code).exists()


def away_of(folded: Folded | None, *, today: date) -> dict | None:
    """Of a board that is away: its manifest, and how many days past the day due back it is."""
    if folded is None or folded.state is not State.AWAY:
        return None
    number = folded.away.get("manifest")
    codes = Manifest.objects.filter(number=number).values_list("code", flat=True)
    over = (today - date.fromisoformat(folded.away["due"])).days
    return {"manifest": number, "code": codes.first(), "over": max(0, over)}
