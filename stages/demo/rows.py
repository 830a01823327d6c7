"""Rows for what was played, equal to those the actions would have written one by one."""

import base64
import random
import uuid
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import OuterRef, Subquery

from orders.designs.models import DesignVersion
from orders.orderbook.actions import FIRST_NUMBER
from orders.orderbook.models import Board, Order
from orders.pricing.models import Payment, PaymentKind
from orders.specs.drawing import silhouette_of
from orders.specs.models import NUMBER_FIELDS, SpecRevision
from orders.tickets.code import new_code
from orders.tickets.models import Ticket
from stages.demo.checked import checked
from stages.demo.days import desk_time
from stages.demo.jobs import Job, Worker
from stages.log.fold import Kind
from stages.log.models import Entry, Position, Visit
from stages.log.projection import position_values, visit_values

_BATCH = 500


@dataclass
class Ids:
    """Primary keys and what hangs on them, from the first writes."""

    workers: list[Worker]
    desk: dict[str, tuple[int, str]]
    weeks: dict[int, list]
    away: dict[int, set]
    versions: dict[str, DesignVersion]


def write_orders(
    jobs: list[Job], customers: dict, ids: Ids, rng: random.Random, now: datetime
) -> list[Board]:
    """Orders, boards, spec revisions, tickets and payments; the boards in the order of `jobs`."""
    cleo, _ = ids.desk["cleo"]
    by_order: dict[int, list[Job]] = {}
    for job in jobs:
        by_order.setdefault(job.asked.order, []).append(job)
    orders = {}
    for number, (key, those) in enumerate(by_order.items(), start=FIRST_NUMBER):
        asked = those[0].asked
        price = _price(those)
        every_one = all(job.asked.cancelled_at for job in those)
        orders[key] = Order(
            number=number, ref=_uuid(rng), customer=customers[asked.buyer], taken_by_id=cleo,
            taken_at=asked.ordered_at, deposit_cents=price // 200 * 100,
            cancelled_at=asked.cancelled_at if every_one else None,
            cancelled_by_id=cleo if every_one else None,
        )
    Order.objects.bulk_create(orders.values(), batch_size=_BATCH)
    boards = [
        Board(
            number=number, order=orders[job.asked.order], price_cents=job.asked.price_cents,
            promised_on=job.promised_on, rider_token=_token(rng), released_at=job.released_at,
            cancelled_at=_cancelled_at(job), comes_shaped=job.asked.comes_shaped,
            first_in_line=job.remake_of is not None,
        )
        for number, job in enumerate(jobs, start=FIRST_NUMBER)
    ]
    Board.objects.bulk_create(boards, batch_size=_BATCH)
    by_job = dict(zip(jobs, boards, strict=True))
    for job, board in by_job.items():
        if job.remake_of is not None:
            board.remake_of = by_job[job.remake_of]
            board.save(update_fields=["remake_of"])
    _write_papers(jobs, boards, ids, rng)
    _write_payments(by_order, orders, cleo, rng, now)
    return boards


def _price(those: list[Job]) -> int:
    """A board that was lost costs nothing: its price moved to the one made in its place."""
    return sum(job.asked.price_cents for job in those if not job.scrapped)


def _cancelled_at(job: Job) -> datetime | None:
    last = job.log[-1].event if job.log else None
    return last.at if last and last.kind is Kind.CANCELLED else job.asked.cancelled_at


def _write_papers(jobs: list[Job], boards: list[Board], ids: Ids, rng: random.Random) -> None:
    cleo, mara = ids.desk["cleo"][0], ids.desk["mara"][0]
    revisions, drawn = [], {}
    for job, board in zip(jobs, boards, strict=True):
        spec = dict(
            job.asked.spec,
            design_version=ids.versions[job.asked.model.name],
            price_cents=job.asked.price_cents,
            promised_on=job.asked.promised_on,
        )
        first = f"remake of {board.remake_of}" if board.remake_of else "ordered"
        times = [(job.asked.ordered_at, {}, first)]
        reissues = [entry.event for entry in job.log if entry.event.kind is Kind.REISSUED]
        for event, (_, change, reason) in zip(reissues, job.asked.changes, strict=False):
            times.append((event.at, change, reason))
        for number, (at, change, reason) in enumerate(times, start=1):
            spec |= change
            revision = SpecRevision(
                board=board, number=number, made_by_id=cleo, made_at=at, reason=reason, **spec
            )
            key = tuple(getattr(revision, name) for name in _DRAWN)
            if key not in drawn:
                drawn[key] = silhouette_of(revision)
            revision.silhouette = drawn[key]
            revisions.append(revision)
    SpecRevision.objects.bulk_create(revisions, batch_size=_BATCH)
    latest = SpecRevision.objects.filter(board=OuterRef("pk")).order_by("-number")
    Board.objects.update(spec=Subquery(latest.values("pk")[:1]))
    released = {board.pk: board.released_at for board in boards}
    tickets, codes = {}, set()
    for revision in revisions:
        if (released_at := released[revision.board_id]) is None:
            continue
        while (code := new_code(rng.randrange)) in codes:
            pass
        codes.add(code)
        issued_at = released_at if revision.number == 1 else revision.made_at
        if (before := tickets.get((revision.board_id, revision.number - 1))) is not None:
            before.voided_at = issued_at
        tickets[revision.board_id, revision.number] = Ticket(
            board_id=revision.board_id, revision=revision, code=code, issued_at=issued_at,
            issued_by_id=mara if revision.number == 1 else cleo,
        )
    Ticket.objects.bulk_create(tickets.values(), batch_size=_BATCH)


_DRAWN = [name for name in NUMBER_FIELDS if name.endswith(("_nm", "tail_shape"))]


def _write_payments(by_order: dict, orders: dict, cleo: int, rng, now: datetime) -> None:
    """Half when ordered, or a few days later, or not yet; the rest when the last board leaves."""
    payments = []
    for key, those in by_order.items():
        order = orders[key]
        price = _price(those)
        paid_at = order.taken_at
        if rng.random() < 0.25:
            paid_at = desk_time(rng, paid_at + timedelta(days=rng.uniform(1, 5)))
        left = price
        if paid_at < now and rng.random() < 0.95:
            left -= order.deposit_cents
            payments.append(
                Payment(
                    order=order, kind=PaymentKind.DEPOSIT, amount_cents=order.deposit_cents,
                    taken_by_id=cleo, taken_at=paid_at,
                )
            )
        gone = [
            job.log[-1].event.at
            for job in those
            if job.log and job.log[-1].event.kind is Kind.HANDED_OVER
        ]
        if len(gone) == sum(not job.scrapped for job in those):
            payments.append(
                Payment(
                    order=order, kind=PaymentKind.BALANCE, amount_cents=left, taken_by_id=cleo,
                    taken_at=max(gone),
                )
            )
    Payment.objects.bulk_create(payments, batch_size=_BATCH)


def write_floor(jobs: list[Job], boards: list[Board], rng: random.Random, now: datetime) -> int:
    """Entries, and the projection the real fold gave while the floor was played."""
    entries, positions, visits = [], [], []
    specs = {(spec.board_id, spec.number): spec for spec in SpecRevision.objects.all()}
    for job, board in zip(jobs, boards, strict=True):
        if job.position is None:
            continue
        entries += _entries(job, board, specs, rng, now)
        positions.append(Position(board=board, **position_values(job.position)))
        visits += (
            Visit(board=board, step=index, **visit_values(step))
            for index, step in enumerate(job.position.steps)
            if step.finished_at is not None
        )
    Entry.objects.bulk_create(entries, batch_size=_BATCH)
    Position.objects.bulk_create(positions, batch_size=_BATCH)
    Visit.objects.bulk_create(visits, batch_size=_BATCH)
    return len(entries)


def _entries(job: Job, board: Board, specs: dict, rng: random.Random, now: datetime):
    """One row an event. A phone out of signal is heard of later; a few were keyed in from paper."""
    for seq, logged in enumerate(job.log, start=1):
        event = logged.event
        following = job.log[seq].event.at if seq < len(job.log) else now
        heard_at, late, device = event.at, False, logged.device
        if device:
            heard_at += timedelta(seconds=rng.uniform(0.2, 2.5))
            if (luck := rng.random()) < 0.03:
                heard_at += timedelta(minutes=rng.uniform(4, 45))
                late = luck < 0.006
                device = "" if late else device
        payload = event.payload
        if event.kind is Kind.PASSED and not late:
            luck = random.Random(f"{rng.random()}: sheet")
            payload = payload | {
                "sheet": checked(specs[board.pk, event.revision], event.at.date(), luck)
            }
        yield Entry(
            ref=_uuid(rng), board=board, seq=seq, kind=event.kind.value, step=logged.step,
            stage_id=logged.stage, by_id=event.by, happened_at=event.at,
            recorded_at=max(event.at, min(heard_at, following)), device=device,
            ticket_revision=event.revision, late=late, payload=payload,
        )


def _token(rng: random.Random) -> str:
    return base64.urlsafe_b64encode(rng.randbytes(16)).decode().rstrip("=")


def _uuid(rng: random.Random) -> uuid.UUID:
    return uuid.UUID(int=rng.getrandbits(128), version=4)
