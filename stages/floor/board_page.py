"""What a board's page reads: where it is, what changed, what happened, step by step."""

from dataclasses import replace
from datetime import date, datetime

from django.db.models import Prefetch
from django.utils.safestring import mark_safe

from orders.accounts.models import User
from orders.factory.models import Factory
from orders.orderbook.models import Board
from orders.shape.svg import board_svg
from orders.shape.units import NM_PER_MM
from orders.specs.changes import changes_between, in_words
from orders.specs.drawing import drawn_with, shape_of
from orders.specs.models import NUMBER_FIELDS, SpecRevision
from stages.defects.queries import defects_of, done_again
from stages.defects.spots import view_box
from stages.floor.racks import late_words
from stages.floor.words import history, where_now
from stages.log.fold import CLOSED, State
from stages.log.fold import Position as Folded
from stages.log.models import Entry
from stages.mixing.coats import states_at
from stages.outside.queries import away_of
from stages.photos.part import part_of_board
from stages.scan.oddities import odd_about

_SHOWN = [name for name in NUMBER_FIELDS if name not in ("length_nm", "width_nm", "thickness_nm")]


def board_with_all(number: int) -> Board | None:
    revisions = SpecRevision.objects.select_related("made_by", "design_version__design")
    return (
        Board.objects.select_related(
            "order__customer",
            "spec__design_version__design",
            "position",
            "remake_of",
            "remade_as",
        )
        .prefetch_related(Prefetch("revisions", revisions.order_by("number")))
        .filter(number=number)
        .first()
    )


def folded_of(board: Board) -> Folded | None:
    position = getattr(board, "position", None)
    return Folded.from_json(position.folded) if position else None


def page_of(board: Board, *, now: datetime, today: date) -> dict:
    """Everything the page shows, for anybody who may see it: no prices."""
    folded, spec = folded_of(board), board.spec
    entries = list(Entry.objects.filter(board=board).select_related("by").order_by("seq"))
    photos = part_of_board(board, folded)
    closed = board.cancelled_at is not None or (folded is not None and folded.state in CLOSED)
    done = closed or (folded is not None and folded.state is State.READY)
    late = (today - board.promised_on).days if board.promised_on and not done else 0
    state = folded.state_at(now).value if folded else "cancelled" if closed else "ordered"
    return {
        "board": board,
        "spec": spec,
        "state": state,
        "closed": closed,
        "where": _where(board, folded, now),
        "away": away_of(folded, today=today),
        "late": late_words(late) if late > 0 else "",
        "drawing": _drawing(spec),
        "numbers": _numbers(spec),
        "odd": odd_about(spec),
        "revisions": _revisions(board),
        "steps": _steps(folded, now) if folded else [],
        "history": history(entries)[::-1],
        "photos": photos,
        "defects": defects_of(entries, folded, photos.photos if photos else ()),
        "again": done_again(folded),
        "outline_box": view_box(spec.length_nm // NM_PER_MM, spec.width_nm // NM_PER_MM),
    }


def _where(board: Board, folded: Folded | None, now: datetime) -> str:
    if folded:
        return where_now(folded, now)
    return "Cancelled before it was released." if board.cancelled_at else "Not on the floor yet."


def _drawing(spec: SpecRevision) -> str:
    svg = board_svg(
        shape_of(spec),
        unit=Factory.current().length_unit,
        box_kind=spec.box_kind,
        **drawn_with(spec),
    )
    return mark_safe(svg)  # made of numbers, and escaped where words are


def _numbers(spec: SpecRevision) -> list[tuple[str, str]]:
    rows = []
    for name in [*_SHOWN, "colour"]:
        label = spec._meta.get_field(name).verbose_name
        value = in_words(spec, name)
        if value != "–":
            rows.append((label[0].upper() + label[1:], value))
    return rows


def _revisions(board: Board) -> list[tuple[SpecRevision, list]]:
    """Newest first, each with what it changed; the first has changed nothing."""
    all_of = list(board.revisions.all())
    pairs = [
        (after, changes_between(before, after))
        for before, after in zip(all_of, all_of[1:], strict=False)
    ]
    return [(all_of[0], []), *pairs][::-1] if all_of else []


def _coats(folded: Folded, index: int) -> list[tuple[str, int]]:
    """The coats of a step with the pots poured for each; what is not begun has none."""
    if not folded.steps[index].coats and index != folded.index:
        return []
    return states_at(replace(folded, index=index))


def _steps(folded: Folded, now: datetime) -> list[dict]:
    """One row a step: who, and its times in seconds (queue, touch, rest, held); None: not yet."""
    names = dict(
        User.objects.filter(pk__in={step.by for step in folded.steps if step.by}).values_list(
            "pk", "name"
        )
    )
    rows = []
    for index, step in enumerate(folded.steps):
        here = index == folded.index and folded.state not in CLOSED
        queue = None
        if step.taken_at and step.arrived_at:
            queue = max(0.0, (step.taken_at - step.arrived_at).total_seconds())
        elif here and step.arrived_at and step.arrived_at <= now:
            queue = max(0.0, (now - step.arrived_at).total_seconds())
        touch = step.touch_s if step.finished_at or step.touch_s else None
        if here and folded.state is State.IN_HAND:
            touch = step.touch_s + max(0.0, (now - folded.since).total_seconds())
        away = None
        if step.by is None and step.finished_at and step.taken_at:
            away = (step.finished_at - step.taken_at).total_seconds()
        elif here and folded.state is State.AWAY:
            away = max(0.0, (now - folded.since).total_seconds())
            queue = max(0.0, (folded.since - step.arrived_at).total_seconds())
        rest = (step.rest_until - step.finished_at).total_seconds() if step.finished_at else None
        rows.append(
            {
                "name": step.name if step.attempt == 1 else f"{step.name}, again",
                "here": here,
                "resting": here and folded.state_at(now) is State.RESTING,
                "done": step.finished_at,
                "sent_back": step.outcome == "sent_back",
                "who": names.get(step.by, ""),
                "arrived": step.arrived_at if step.finished_at or here else None,
                "taken": step.taken_at,
                "queue": queue,
                "touch": touch,
                "rest": rest or None,
                "held": step.held_s or None,
                "away": away,
                "coats": _coats(folded, index),
            }
        )
    return rows
