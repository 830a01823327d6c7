"""What a bay does to the log."""

from datetime import datetime

from orders.accounts.models import User
from stages.log.models import Entry
from stages.log.record import Guarded, record
from stages.routes.models import Bay
from stages.scan.forms import Tap
from stages.scan.queries import Paper


def log_tap(*, paper: Paper, tap: Tap, by: User, bay: Bay | None, at: datetime) -> Entry:
    """One tap on the board of `paper`, from a device that stands in `bay`. Raises Refused."""
    return record(
        board=paper.board,
        kind=tap.kind,
        by=by,
        at=at,
        happened_at=tap.happened_at,
        ref=tap.ref,
        step=tap.step,
        ticket_revision=paper.revision,
        payload=tap.payload,
        overrides=tap.overrides,
        device=tap.device,
        read=paper.folded,
        guarded=Guarded(bay, paper.unconfirmed),
    )
