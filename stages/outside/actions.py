"""What sends boards to an outside bay and takes them back: several at once, all or none."""

import uuid
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from orders.accounts.models import User
from orders.orderbook.models import Board
from orders.templatetags.trade import day
from stages.log.fold import Kind, Refused, State
from stages.log.fold import Position as Folded
from stages.log.models import Entry
from stages.log.record import record
from stages.outside.code import unused_code
from stages.outside.models import Manifest, ManifestBoard
from stages.outside.queries import (
    boards_promised_elsewhere,
    folded_by_board,
    stages_of,
    steps_there,
)
from stages.routes.models import Bay

MOST = 60  # boards on one manifest


class NotTogether(Exception):
    """Nothing was logged. `sentences` says why, by board number."""

    def __init__(self, sentences: dict[int, str]):
        super().__init__("; ".join(sentences.values()))
        self.sentences = sentences


@transaction.atomic
def set_bay(*, bay: Bay, outside: bool, address: str) -> Bay:
    """Whether another business does this bay's work, and where that is."""
    bay.outside, bay.address = outside, address
    bay.full_clean()
    bay.save(update_fields=["outside", "address"])
    return bay


@transaction.atomic
def make_manifest(
    *, bay: Bay, boards: list[Board], due_on: date, note: str, by: User, at: datetime
) -> Manifest:
    """A manifest for boards that wait for this bay. Raises NotTogether with each board's reason."""
    if not bay.outside:
        raise ValidationError(f"{bay} is a bay of your own: nothing leaves the house for it.")
    if not boards:
        raise ValidationError("Tick the boards that go.")
    if len(boards) > MOST:
        raise ValidationError(f"{MOST} boards at most on one manifest. Make two.")
    here, there = folded_by_board(boards), stages_of(bay)
    taken = boards_promised_elsewhere(boards)
    refused = {}
    for board in boards:
        if board.pk in taken:
            refused[board.number] = f"It stands on manifest {taken[board.pk]} already."
        elif reason := _cannot_go(here.get(board.pk), there, bay, at):
            refused[board.number] = reason
    if refused:
        raise NotTogether(refused)
    newest = Manifest.objects.aggregate(newest=Max("number"))["newest"] or 0
    manifest = Manifest(
        number=newest + 1,
        code=unused_code(),
        bay=bay,
        due_on=due_on,
        note=note,
        made_by=by,
        made_at=at,
    )
    manifest.full_clean()
    manifest.save()
    ManifestBoard.objects.bulk_create(
        ManifestBoard(manifest=manifest, board=board, order=order)
        for order, board in enumerate(boards, start=1)
    )
    return manifest


def _cannot_go(folded: Folded | None, there: frozenset[int], bay: Bay, at: datetime) -> str:
    """Why a board cannot be sent to this bay now, or ""."""
    if folded is None or folded.step is None:
        return "It is not waiting for any step."
    if folded.state is not State.AWAY and folded.step.stage not in there:
        return f"Its next step is {folded.step.name}, which is not done at {bay}."
    state = folded.state_at(at)
    if state is State.RESTING:
        return f"It still rests after {folded.previous.name}."
    if state is State.HELD:
        return f"It is held: {folded.held_reason}."
    if state is State.IN_HAND:
        return f"{folded.holder_name} has it in hand."
    if state is State.AWAY:
        return f"It is away at {folded.away['bay_name']} already."
    return f"{folded.step.name} was begun here. Finish it here." if folded.started else ""


@transaction.atomic
def send_out(*, manifest: Manifest, by: User, at: datetime, device: str = "") -> int:
    """Every board of the manifest leaves, or none; how many. Sent again, nothing happens twice."""
    manifest = Manifest.objects.select_for_update().select_related("bay").get(pk=manifest.pk)
    if manifest.dropped_at:
        raise ValidationError(f"Manifest {manifest.number} was torn up. Make a new one.")
    if manifest.sent_at:
        return 0
    boards = list(manifest.boards.order_by("number"))
    here, there = folded_by_board(boards), stages_of(manifest.bay)
    refused = {}
    for board in boards:
        reason = _cannot_go(here.get(board.pk), there, manifest.bay, at)
        if not reason:
            reason = _refusal(
                board=board,
                kind=Kind.SENT_OUT,
                by=by,
                at=at,
                ref=_ref(manifest, board, "out"),
                device=device,
                payload={
                    "bay": manifest.bay_id,
                    "bay_name": manifest.bay.name,
                    "manifest": manifest.number,
                    "due": manifest.due_on.isoformat(),
                },
            )
        if reason:
            refused[board.number] = reason
    if refused:
        raise NotTogether(refused)
    manifest.sent_at = at
    manifest.save(update_fields=["sent_at"])
    return len(boards)


def _refusal(**entry) -> str:
    """Logs an entry; what the log says against it, or ""."""
    try:
        with transaction.atomic():
            record(**entry)
    except Refused as refused:
        return refused.sentence
    return ""


def _ref(manifest: Manifest, board: Board, way: str) -> uuid.UUID:
    """The same for the same board on the same paper: sent twice is one entry."""
    return uuid.uuid5(uuid.NAMESPACE_URL, f"/M/{manifest.code}/{board.number}/{way}")


@transaction.atomic
def take_back(
    *, manifest: Manifest, came: dict[Board, bool], by: User, at: datetime, device: str = ""
) -> int:
    """Boards of the manifest that are back, each with whether it was done there; all or none."""
    if not came:
        raise ValidationError("Tick the boards that came back.")
    here, there = folded_by_board(came), stages_of(manifest.bay)
    refused = {}
    for board, was_done in came.items():
        folded = here[board.pk]
        if folded.state is State.AWAY and folded.away.get("manifest") != manifest.number:
            reason = f"It is away on manifest {folded.away.get('manifest')}, not on this one."
        else:
            reason = _refusal(
                board=board,
                kind=Kind.CAME_BACK,
                by=by,
                at=at,
                ref=_ref(manifest, board, "back"),
                device=device,
                payload={"done": len(steps_there(folded, there)) if was_done else 0},
            )
        if reason:
            refused[board.number] = reason
    if refused:
        raise NotTogether(refused)
    return len(came)


def take_one_back(
    *, board: Board, was_done: bool, by: User, at: datetime, ref: uuid.UUID, device: str = ""
) -> Entry:
    """One board is back, known by its own ticket. Raises Refused."""
    folded = folded_by_board([board]).get(board.pk)
    there = stages_of(folded.away.get("bay")) if folded else frozenset()
    done = len(steps_there(folded, there)) if folded and was_done else 0
    return record(
        board=board,
        kind=Kind.CAME_BACK,
        by=by,
        at=at,
        ref=ref,
        device=device,
        payload={"done": done},
    )


@transaction.atomic
def promise_back(*, manifest: Manifest, due_on: date, reason: str, by: User, at: datetime) -> None:
    """The outside bay says another day; every board still away keeps it in its log."""
    before, manifest.due_on = manifest.due_on, due_on
    manifest.save(update_fields=["due_on"])
    why = f": {reason.strip()}" if reason.strip() else ""
    note = f"due back {day(due_on)} instead of {day(before)}{why}"
    boards = list(manifest.boards.all())
    here = folded_by_board(boards)
    for board in boards:
        away = here[board.pk].away if board.pk in here else {}
        if away.get("manifest") == manifest.number:
            payload = {"note": note, "due_back": due_on.isoformat()}
            record(board=board, kind=Kind.NOTED, by=by, at=at, payload=payload)


@transaction.atomic
def tear_up(*, manifest: Manifest, at: datetime) -> None:
    """A manifest nobody left with; its boards can go on another."""
    manifest = Manifest.objects.select_for_update().get(pk=manifest.pk)
    if manifest.sent_at:
        raise ValidationError("Its boards have left. Take them back instead.")
    manifest.dropped_at = manifest.dropped_at or at
    manifest.save(update_fields=["dropped_at"])
