"""A board sent back: the fields of its form in, what the log keeps out."""

from stages.photos.refs import refs_in

SIDES = ("deck", "bottom")
# No board is wider or longer than this (mm): a place outside it is a slip, not a spot.
_WIDEST, _LONGEST = 500, 5000


def sent_back(data) -> dict:
    """The step it came from is the one it goes back to, unless another is named."""
    to, cause = _index(data, "to"), _index(data, "cause")
    payload = {
        "to": to,
        "defect": data.get("defect", "").strip()[:60],
        "note": data.get("note", "").strip()[:500],
    }
    if cause is None:
        cause = to
    if cause is not None:
        payload["cause"] = cause
    if spot := spot_in(data.get("spot", "")):
        payload["spot"] = spot
    if photos := refs_in(data.get("photos", "")):
        payload["photos"] = photos
    return payload


def spot_in(text: str) -> dict | None:
    """deck:110:623 is 110 mm to the right of the stringer, seen from the deck, 623 from the nose.

    A place that cannot be is left out: the defect and its note still count.
    """
    side, _, place = text.partition(":")
    try:
        across, down = (int(part) for part in place.split(":"))
    except ValueError:
        return None
    if side not in SIDES or abs(across) > _WIDEST or not 0 <= down <= _LONGEST:
        return None
    return {"side": side, "x_mm": across, "y_mm": down}


def spot_text(spot: dict) -> str:
    """The other way round."""
    return f"{spot['side']}:{spot['x_mm']}:{spot['y_mm']}"


def _index(data, name: str) -> int | None:
    text = data.get(name, "")
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 5 else None
