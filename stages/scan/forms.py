"""What comes from a bay: a code typed with sticky hands, and one tap."""

import uuid
from dataclasses import dataclass
from datetime import datetime, timedelta

from django import forms

from orders.tickets.code import CODE_LENGTH, CodeError, read_code
from stages.log.fold import Kind
from stages.log.record import MAY_OVERRIDE
from stages.scan.payloads import READERS, TapError

WORST_CLOCK = timedelta(minutes=5)
OLDEST = timedelta(days=7)
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
WHY = "why-"


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
        # A hand scanner types the whole address that is in the square.
        text = typed.replace("/t/", "/T/").rpartition("/T/")[2]
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
    """The tap in a POST's data. Raises TapError where it is no tap of ours."""
    try:
        ref, kind = uuid.UUID(data.get("ref", "")), Kind(data.get("kind", ""))
    except ValueError:
        raise TapError from None
    if kind not in _KINDS:
        raise TapError
    step = data.get("step", "")
    return Tap(
        ref=ref,
        kind=kind,
        step=int(step) if step.isdecimal() and len(step) < 5 else None,
        payload=READERS[kind](data) if kind in READERS else {},
        overrides={code: data[WHY + code][:200] for code in MAY_OVERRIDE if WHY + code in data},
        device=data.get("device", ""),
        happened_at=device_time(data.get("happened_at", ""), now=now),
    )


def device_time(text: str, *, now: datetime) -> datetime | None:
    """The device's time; None, and so the server's, where its clock talks nonsense."""
    try:
        moment = datetime.fromisoformat(text)
        if moment.tzinfo is None or not now - OLDEST <= moment <= now + WORST_CLOCK:
            return None
    except (ValueError, OverflowError):
        return None
    return moment
