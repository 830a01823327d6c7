"""What a page holds so that a device without signal can go on by itself.

The board's position and what bears on it, and the cards of the steps to come. The person at the
device is not in it: who that is, the device knows.
"""

from dataclasses import dataclass, replace
from datetime import datetime

from orders.accounts.models import User
from orders.factory.models import Factory
from orders.templatetags.trade import dims_of
from orders.tickets.models import Ticket
from stages.log.fold import Step
from stages.log.guards import MAY_OVERRIDE
from stages.log.models import Entry
from stages.mixing import part as mixing
from stages.mixing.coats import whole_coats
from stages.quality import part as quality
from stages.routes.models import Stage
from stages.scan.cards import Row, card, unconfirmed
from stages.scan.cautions import cautions
from stages.scan.offer import REASONS
from stages.scan.sheet import Sheet


@dataclass(frozen=True)
class StepToCome:
    index: int
    step: Step
    following: Step | None
    rows: list[Row]
    cautions: list[str]
    mixing: object | None
    quality: object | None


@dataclass(frozen=True)
class Kept:
    board: dict  # what static/js/scan/fold.js and guards.js work on
    steps: list[StepToCome]


def kept(ticket: Ticket, shown: Sheet, *, user: User, now: datetime) -> Kept:
    """`user` only as the one who asks: nothing here depends on who that is."""
    return Kept(
        board_json(ticket, shown, now=now), _steps_to_come(ticket, shown, user=user, now=now)
    )


def board_json(ticket: Ticket, shown: Sheet, *, now: datetime) -> dict:
    board, position = ticket.board, shown.position
    stages = Stage.objects.select_related("bay").in_bulk(
        {step.stage for step in position.steps} if position else ()
    )
    return {
        "at": now.isoformat(),
        "code": ticket.code,
        "number": board.number,
        "dims": dims_of(board.spec),
        "promised": board.promised_on.isoformat() if board.promised_on else None,
        "revision": ticket.revision.number,
        "live_revision": board.spec.number,
        "voided": ticket.voided_at is not None,
        "position": position.to_json() if position else None,
        "stages": {
            pk: {
                "name": stage.name,
                "bay": stage.bay_id,
                "bay_name": stage.bay.name,
                "one_at_a_time": stage.one_at_a_time,
                "coats": whole_coats(stage.name, [step.name for step in position.steps]),
            }
            for pk, stage in stages.items()
        },
        # By stage: what it reads and nobody has confirmed yet.
        "unconfirmed": {
            step.stage: unconfirmed(ticket.revision.to_confirm, step.name)
            for step in (position.steps if position else ())
        }
        if ticket.revision.to_confirm
        else {},
        "may_override": {code: sorted(roles) for code, roles in MAY_OVERRIDE.items()},
        "reasons": {code: [str(one) for one in told] for code, told in REASONS.items()},
        "moved": shown.moved and {"by": shown.moved.by, "at": shown.moved.at.isoformat()},
        "rework": _rework(shown.rework),
        "zone": Factory.current().time_zone,
    }


def _rework(sent_back: Entry | None) -> dict | None:
    if sent_back is None:
        return None
    told = {name: sent_back.payload.get(name, "") for name in ("defect", "note")}
    by, at = sent_back.by.name, sent_back.recorded_at.isoformat()
    return {**told, "ref": str(sent_back.ref), "by": by, "at": at}


def _steps_to_come(ticket: Ticket, shown: Sheet, *, user: User, now: datetime) -> list[StepToCome]:
    position, spec = shown.position, ticket.board.spec
    if position is None:
        return []
    steps, found = position.steps, []
    for index in range(position.index, len(steps)):
        then = replace(position, index=index)
        found.append(
            StepToCome(
                index=index,
                step=steps[index],
                following=steps[index + 1] if index + 1 < len(steps) else None,
                rows=card(spec, steps[index].name, shown.changes),
                cautions=cautions(steps[index].name, spec.resin),
                mixing=mixing.part_of(ticket, then, user=user, now=now),
                quality=quality.part_of(ticket, then, user=user, now=now),
            )
        )
    return found
