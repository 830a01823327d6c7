"""What a device sends of one entry, as JSON, and what it is told of each."""

import uuid
from dataclasses import dataclass

from django.http import QueryDict

from stages.scan.payloads import TapError, storable

MOST = 50
# Beside the form's own fields; the device says them once for every kind of entry.
_OWN = ("ticket", "kind", "step", "happened_at", "clock_off_ms", "device")


@dataclass(frozen=True)
class Verdict:
    """`ref` as it was sent. The device keeps an entry until accepted, duplicate,
    clash or stopped."""

    ref: str | None
    verdict: str
    code: str = ""
    sentence: str = ""


@dataclass(frozen=True)
class Intent:
    """One entry as it was sent: `data` is what the page's form would have posted. `live`: the
    device had signal, and sent it at once and for the first time."""

    ref: uuid.UUID
    who: int
    data: QueryDict
    live: bool = False

    @property
    def ticket(self) -> str:
        return self.data.get("ticket", "")


def read_intent(sent) -> Intent:
    """Raises TapError where it cannot be read."""
    try:
        ref, who = uuid.UUID(sent["ref"]), sent["who"]
        fields = [(name, value) for name, value in sent.get("fields") or []]
    except (KeyError, TypeError, ValueError, AttributeError):
        raise TapError from None
    if not isinstance(who, int) or isinstance(who, bool):
        raise TapError
    data = QueryDict(mutable=True)
    for name, value in fields:
        if not isinstance(name, str) or not isinstance(value, str):
            raise TapError
        data.appendlist(name, value)
    for name in _OWN:
        value = sent.get(name)
        if not isinstance(value, str | int | float | None):
            raise TapError
        data[name] = "" if value is None else str(value)
    if not all(storable(text) for name, texts in data.lists() for text in (name, *texts)):
        raise TapError
    data["ref"] = str(ref)
    return Intent(ref=ref, who=who, data=data, live=sent.get("live") is True)


def passes_in(sent: list) -> set[str]:
    """The passes that came along. A signed one is ASCII."""
    found = (one.get("pass") for one in sent if isinstance(one, dict))
    return {one for one in found if isinstance(one, str) and one and one.isascii()}
