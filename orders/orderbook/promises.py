"""Giving a date: the one place that sets a board's promise, and keeps how sure it was."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta

from django.core import signing
from django.db import transaction

from orders.accounts.models import User
from orders.orderbook.models import Board, Promise

_SALT = "told of a day"
_STALE = timedelta(hours=12)  # the floor moves on: what was told in the morning is old at night


@dataclass(frozen=True)
class Told:
    """What was told of one day: its chance (0 to 1) and, where it was worked out for one, the
    certainty in per cent."""

    on: date
    confidence_percent: int | None = None
    chance: float | None = None


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
    *, board: Board, on: date | None, by: User, at: datetime, told: Told | None = None
) -> Promise | None:
    """The board's date from now on; the same date once more is the same promise. None takes it
    back: what was given before stays written. What was told of another day is left out."""
    if on == board.promised_on:
        return board.promise
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
    )
    promise.full_clean()
    promise.save(force_insert=True)
    return promise


def told_before(board: Board) -> Told | None:
    """What was told of the board's date when it was given, for the board made in its place."""
    promise = board.promise
    return promise and Told(promise.promised_on, promise.confidence_percent, promise.chance)
