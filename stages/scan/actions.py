"""What a bay does to the log."""

from datetime import datetime

from orders.accounts.models import User
from stages.log.fold import Kind
from stages.log.models import Entry
from stages.log.record import Guarded, record
from stages.mixing import judging
from stages.routes.models import Bay
from stages.scan.defects import check_word
from stages.scan.forms import Tap
from stages.scan.queries import Paper


def log_tap(*, paper: Paper, tap: Tap, by: User, bay: Bay | None, at: datetime) -> Entry:
    """One tap on the board of `paper`, from a device that stands in `bay`. Raises Refused.

    A mix is kept whatever was weighed, since it is in the pot already: marked with what is wrong.
    """
    payload = tap.payload
    if tap.kind is Kind.LET_GO and paper.folded:
        check_word(paper.folded.get("held_reason", ""), payload.get("word", ""))
    if tap.kind is Kind.MIXED:
        payload = judging.marked(payload, board=paper.board.pk)
    return record(
        board=paper.board,
        kind=tap.kind,
        by=by,
        at=at,
        happened_at=tap.happened_at,
        ref=tap.ref,
        step=tap.step,
        ticket_revision=paper.revision,
        payload=payload,
        overrides=tap.overrides,
        device=tap.device,
        read=paper.folded,
        guarded=Guarded(bay, paper.unconfirmed),
    )
