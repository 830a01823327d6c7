"""Giving a date: the one place that sets a board's promise, and keeps how sure it was."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta

from django.core import signing
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from orders.accounts.models import User
from orders.orderbook.models import Board, Promise, WhyMoved

_SALT = "told of a day"
_STALE = timedelta(hours=12)  # the floor moves on: what was told in the morning is old at night


@dataclass(frozen=True)
class Told:
    """What was told of one day: its chance (0 to 1) and, where it was worked out for one, the
    certainty in per cent."""

    on: date
    confidence_percent: int | None = None
    chance: float | None = None


@dataclass(frozen=True)
class Reason:
    """Why a date is another: one of WhyMoved, and words of one's own, which the customer reads."""

    code: str
    words: str = ""


@dataclass(frozen=True)
class Move:
    """A date that was given in place of another; `why` is none of those kept without one."""

    before: date
    on: date
    at: datetime
    why: Reason | None

    @property
    def why_words(self) -> str:
        """For the desk: the reason by its name, and what was said beside it."""
        if self.why is None:
            return ""
        label = "" if self.why.code == WhyMoved.OTHER else WhyMoved(self.why.code).label
        return ": ".join(filter(None, (str(label), self.why.words)))


def seal(days: Iterable[Told]) -> str:
    """A text for a form to carry, which cannot be changed on the way."""
    return signing.dumps([{**asdict(told), "on": told.on.isoformat()} for told in days], salt=_SALT)


def told_of(text: str, on: date | None) -> Told | None:
    """What the sealed text says of this very day; nothing where it is old, broken or of others."""
    try:
        days = signing.loads(text, salt=_SALT, max_age=_STALE)
    except signing.BadSignature:
        return None
    found = (Told(**{**told, "on": date.fromisoformat(told["on"])}) for told in days)
    return next((told for told in found if told.on == on), None)


@transaction.atomic
def give_promise(
    *,
    board: Board,
    on: date | None,
    by: User,
    at: datetime,
    told: Told | None = None,
    why: Reason | None = None,
) -> Promise | None:
    """The board's date from now on; the same date once more is the same promise. None takes it
    back: what was given before stays written. What was told of another day is left out, and so is
    the reason of a date that replaces none; one that does has a reason."""
    before = board.promised_on
    if on == before:
        return board.promise
    if on and before and why is None:
        raise ValidationError(_("Say why the date is another: the customer reads it."))
    board.promised_on = on
    board.save(update_fields=["promised_on"])
    if on is None:
        return None
    sure = told if told and told.on == on else Told(on)
    promise = Promise(
        board=board,
        promised_on=on,
        given_at=at,
        given_by=by,
        confidence_percent=sure.confidence_percent,
        chance=sure.chance,
        moved_for=why.code if why and before else "",
        moved_words=why.words if why and before else "",
    )
    promise.full_clean()
    promise.save(force_insert=True)
    return promise


def told_before(board: Board) -> Told | None:
    """What was told of the board's date when it was given, for the board made in its place."""
    promise = board.promise
    return promise and Told(promise.promised_on, promise.confidence_percent, promise.chance)


def moves_of(board: Board) -> list[Move]:
    """How the board's date came to be another, the newest move first; read `promises` ahead for
    many boards. A date that was a slip counts as never given."""
    given = []
    for promise in board.promises.all() if board.promised_on else ():
        why = Reason(promise.moved_for, promise.moved_words) if promise.moved_for else None
        if given and why and why.code == WhyMoved.SLIP:
            *_on, why = given.pop()
        given.append((promise.promised_on, promise.given_at, why))
    moves = [
        Move(before, on, at, why)
        for (before, _at, _why), (on, at, why) in zip(given, given[1:], strict=False)
        if on != before
    ]
    return moves[::-1]
