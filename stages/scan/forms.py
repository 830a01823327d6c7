"""What comes from a bay: a code typed with sticky hands, and one tap."""

import re
import uuid
from dataclasses import dataclass
from datetime import datetime, timedelta

from django import forms

from orders.tickets.code import CODE_LENGTH, CodeError, read_code
from stages.log.fold import Kind
from stages.log.guards import MAY_OVERRIDE
from stages.scan.payloads import READERS, TapError, storable

WORST_CLOCK = timedelta(minutes=5)
OLDEST = timedelta(days=7)
# No device keeps an entry for longer; a clock that says so, even corrected, was never set.
LONGEST_KEPT = timedelta(days=366)
GOOD_CLOCK = timedelta(seconds=2)
MS = timedelta(milliseconds=1)
_KINDS = {
    Kind.TAKEN,
    Kind.PAUSED,
    Kind.FINISHED,
    Kind.PASSED,
    Kind.SENT_BACK,
    Kind.HELD,
    Kind.LET_GO,
    Kind.UNDONE,
    Kind.JOINED,
    Kind.LEFT,
    Kind.MIXED,
}
WHY, MORE = "why-", "more-"


class CodeForm(forms.Form):
    code = forms.CharField(
        label="Code under the square on the ticket",
        max_length=200,
        error_messages={"required": "Type the seven characters under the square."},
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "autocapitalize": "characters",
                "spellcheck": "false",
                "autofocus": True,
                "placeholder": "ABC 1234",
            }
        ),
    )

    def clean_code(self) -> str:
        typed = self.cleaned_data["code"]
        # A hand scanner types the whole address that is in the square, of a ticket or a manifest.
        text = re.split("/[TM]/", typed, flags=re.IGNORECASE)[-1]
        if text.strip().isdigit() and len(text.strip()) < CODE_LENGTH:
            raise forms.ValidationError(
                f"{text.strip()} looks like a board number. A ticket has a code of its own, so "
                "that a slip of the finger never opens another board: type the seven characters "
                "under the square."
            )
        try:
            return read_code(text)
        except CodeError as error:
            raise forms.ValidationError(str(error)) from None


@dataclass(frozen=True)
class Tap:
    """One tap as it was sent."""

    ref: uuid.UUID
    kind: Kind
    step: int | None
    payload: dict
    overrides: dict[str, str]
    device: str
    happened_at: datetime | None


def read_tap(data, *, now: datetime) -> Tap:
    """The tap in a POST's data, or in an outbox's. Raises TapError where it is no tap of ours."""
    try:
        ref, kind = uuid.UUID(data.get("ref", "")), Kind(data.get("kind", ""))
    except ValueError:
        raise TapError from None
    if kind not in _KINDS or not all(map(storable, data.values())):
        raise TapError
    step = data.get("step", "")
    happened_at, clock = device_time(
        data.get("happened_at", ""), off=_off(data.get("clock_off_ms", "")), now=now
    )
    payload = READERS[kind](data) if kind in READERS else {}
    if clock:
        payload["clock"] = clock
    if data.get("unproved"):
        payload["unproved"] = True
    return Tap(
        ref=ref,
        kind=kind,
        step=int(step) if step.isdecimal() and len(step) < 5 else None,
        payload=payload,
        overrides=_reasons(data),
        device=data.get("device", ""),
        happened_at=happened_at,
    )


def _reasons(data) -> dict[str, str]:
    """By guard, why it is passed: what was tapped, and what was typed beside it."""
    found = {}
    for code in MAY_OVERRIDE:
        told = [data[name + code].strip() for name in (WHY, MORE) if name + code in data]
        if told:
            found[code] = ": ".join(part for part in told if part)[:200]
    return found


def _off(text: str) -> timedelta | None:
    """Server minus device, as the device last measured it; None: it never has."""
    try:
        return timedelta(milliseconds=int(text))
    except (ValueError, OverflowError):
        return None


def device_time(
    text: str, *, off: timedelta | None = None, now: datetime
) -> tuple[datetime | None, dict]:
    """When it happened, with the device's clock put right; and that clock, where it was wrong.

    None, and so the server's time, where the clock talks nonsense: later than now, longer ago
    than a device keeps an entry, or, never having been compared, more than a week ago. What the
    device said is kept all the same.
    """
    try:
        said = datetime.fromisoformat(text)
        if said.tzinfo is None:
            return None, {}
    except ValueError:
        return None, {}
    clock = {"device": said.isoformat(), "off_ms": round(off / MS) if off is not None else None}
    wrong = off is not None and abs(off) > GOOD_CLOCK
    try:
        moment = said + off if wrong else said
        age = now - moment
    except OverflowError:
        return None, {**clock, "unusable": True}
    old = age > OLDEST
    if age < -WORST_CLOCK or age > LONGEST_KEPT or (old and off is None):
        return None, {**clock, "unusable": True}
    if old:
        return moment, {**clock, "old": True}
    return moment, clock if wrong else {}
