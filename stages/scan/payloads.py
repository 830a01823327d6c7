"""What the fields beside a tap mean, by the kind of entry: the form's data in, the payload out."""

from stages.defects import taps as defects
from stages.log.fold import Kind
from stages.mixing import taps as mixing
from stages.quality import taps as quality


class TapError(ValueError):
    """The tap cannot be read; nothing was logged. Says why, where a person can mend it."""


def storable(text: str) -> bool:
    """No NUL and no half of a surrogate pair: databases and UTF-8 have no place for them."""
    return "\x00" not in text and not any("\ud800" <= sign <= "\udfff" for sign in text)


def number_in(data, name: str) -> int | None:
    """A small whole number among the fields; None where there is none."""
    text = data.get(name, "")
    return int(text) if text.isdecimal() and len(text) < 5 else None


def _taken(data) -> dict:
    payload = {}
    if data.get("condition") == "good":
        payload["condition"] = "good"
    if (ahead := number_in(data, "ahead")) is not None:
        payload["ahead"] = ahead
    return payload


def _held(data) -> dict:
    chosen, note = data.get("reason", "").strip()[:60], data.get("note", "").strip()[:500]
    return {"reason": ": ".join(part for part in (chosen, note) if part)}


def _let_go(data) -> dict:
    """What was found or done about the damage, where that is asked."""
    told = (data.get(name, "").strip()[:200] for name in ("word", "word-more"))
    word = ": ".join(part for part in told if part)
    return {"word": word} if word else {}


def _undone(data) -> dict:
    return {"ref": data.get("undo", "")[:36]}


READERS = {
    Kind.TAKEN: _taken,
    Kind.PASSED: quality.passed,
    Kind.SENT_BACK: defects.sent_back,
    Kind.HELD: _held,
    Kind.LET_GO: _let_go,
    Kind.UNDONE: _undone,
    Kind.MIXED: mixing.mixed,
}
