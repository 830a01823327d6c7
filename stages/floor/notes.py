"""What stands in small type beside an entry of a board's history."""

from datetime import datetime

from orders.templatetags.trade import moment, span
from stages.log.models import Entry
from stages.mixing.judging import GUARD, marks_of, was_confirmed

# Beside an entry whose guard was passed: which one it was.
PASSED = {
    "resting": "Before its rest was over",
    "old_ticket": "With an old ticket",
    "not_yours": "Though someone else had it in hand",
    "wrong_bay": "In another bay",
    "out_of_order": "Before the steps in front of it",
    "no_skill": "Without being down for this stage",
    "two_at_once": "With another board in hand",
    "to_confirm": "Before it was confirmed",
    "dose": "Though the mix was outside its range",
}
# An entry that came in this much later than it happened says so (seconds): a phone without signal.
_SENT_LATER = 300


def reasons_in(payload: dict) -> dict[str, str]:
    """The reasons that guards were passed with, by guard; of a mix, what was wrong with it."""
    reasons = dict(payload.get("overrides", {}))
    if GUARD in reasons and (marks := marks_of(payload)):
        reasons[GUARD] = "; ".join(marks)
    return reasons


def notes_on(entry: Entry) -> list[str]:
    """What was passed with a reason, and how the entry reached the log."""
    payload = entry.payload
    let_by = payload.get("passed_by_name")
    notes = [
        f"{PASSED.get(code, code.capitalize())}: “{reason}”{f', let by {let_by}' if let_by else ''}"
        for code, reason in reasons_in(payload).items()
    ]
    if "settled" in payload:
        notes.append(
            "It met another entry when it was sent: "
            f"{payload['settled_by_name']} settled it on {moment(entry.recorded_at)}."
        )
    elif payload.get("asked"):
        by = payload.get("answered_by_name", entry.by.name)
        notes.append(
            f"Left in hand overnight; {by} said on {moment(entry.recorded_at)} when it stopped."
        )
    elif entry.late:
        who = payload.get("keyed_by_name", "someone")
        notes.append(f"From the paper, keyed in later by {who} on {moment(entry.recorded_at)}.")
    elif (entry.recorded_at - entry.happened_at).total_seconds() > _SENT_LATER:
        notes.append(f"Sent later: it reached Rackbound on {moment(entry.recorded_at)}.")
    if payload.get("judged") and not was_confirmed(payload):
        wrong = "; ".join(marks_of(payload))
        notes.append(f"Judged when it arrived: {wrong}. Nobody confirmed it.")
    if payload.get("unproved"):
        notes.append("The name was chosen without signal and without a PIN.")
    return notes + _clock(payload.get("clock"))


def _said(device: datetime) -> str:
    """By the factory's clock; as the device wrote it at either end of the calendar."""
    try:
        return moment(device)
    except OverflowError:
        return f"{device.date()} {device:%H:%M}"


def _clock(clock: dict | None) -> list[str]:
    """What was wrong with the clock of the device, as stages.scan.forms.device_time found it."""
    if not clock:
        return []
    if clock.get("unusable"):
        said = _said(datetime.fromisoformat(clock["device"]))
        return [f"The clock of the device said {said}: the server's time is used."]
    notes = []
    off = clock["off_ms"] / 1000
    if abs(off) > 2:
        by = f"{abs(off):.0f} s" if abs(off) < 60 else span(abs(off))
        notes.append(
            f"The clock of the device was {by} {'behind' if off > 0 else 'ahead'}: corrected."
        )
    if clock.get("old"):
        notes.append("It was logged more than a week before it was sent.")
    return notes
