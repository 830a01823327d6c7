"""What the invented glassers mix: pots with their batches, grams and warmth. Pure."""

import random
import uuid
from datetime import datetime, timedelta

from stages.demo.jobs import Job

# Grams of mixed resin for a square metre of the board's length by its width; invented.
_COATS = {
    "Glassing": [
        ("Lamination, bottom", 300, 0.12),
        ("Lamination, deck", 480, 0.45),
        ("Filler coat, bottom", 150, 0.8),
        ("Filler coat, deck", 150, 0.9),
    ],
    "Gloss and polish": [("Gloss, bottom", 130, 0.1), ("Gloss, deck", 130, 0.4)],
}
_MINUTE = timedelta(minutes=1)


def mixes(at: datetime, pair: list[Job]) -> list[tuple[datetime, Job, dict]]:
    """(when poured, board, entry) of each pot. Of two boards laid up one after the other the first
    one's deck and the second's get of one pot, while both are in hand."""
    rng = random.Random(f"{pair[0].asked.order}: {at.isoformat()}")
    celsius = rng.randrange(36, 46) / 2
    first, second = pair[0], pair[1] if len(pair) == 2 else None
    starts = {first: at}
    together = second is not None and _resin(first) == _resin(second)
    if second is not None:
        starts[second] = at + 0.72 * first.left * _MINUTE
    rows = []
    for job, start in starts.items():
        for coat, grams, share in _COATS[job.position.step.name]:
            boards, when = [job], start + share * job.left * _MINUTE
            if together and coat.endswith("deck") and coat.split(",")[0] in {"Lamination", "Gloss"}:
                if job is second:
                    continue
                boards, when = pair, start + 0.75 * job.left * _MINUTE
            rows += _pot(rng, coat, when, celsius, [(one, grams * _area(one)) for one in boards])
    return rows


def _area(job: Job) -> float:
    return job.asked.spec["length_nm"] * job.asked.spec["width_nm"] / 1e18


def _resin(job: Job) -> str:
    return job.asked.spec.get("resin", "polyester")


def _pot(rng, coat: str, at: datetime, celsius: float, shares: list) -> list:
    """One pot as each of its boards keeps it."""
    epoxy = _resin(shares[0][0]) == "epoxy"
    mixed = sum(grams for _, grams in shares)
    percent = 45 if epoxy else round(2 - (celsius - 18) * 0.15, 1)
    resin = mixed / (1 + percent / 100)
    day = at.timetuple().tm_yday
    told = {
        "pot": str(uuid.UUID(int=rng.getrandbits(128), version=4)),
        "coat": coat,
        "resin": "Slow two to one" if epoxy else "Laminating drum",
        "resin_batch": f"{'E' if epoxy else 'L'}{at:%y}-{day // 14 + 11}",
        "hardener_batch": f"{'H' if epoxy else 'K'}{at:%y}-{day // 30 + 3}",
        "resin_g": round(resin),
        "hardener_g": _number(resin * percent / 100),
        "temperature_c": _number(celsius),
        "working_s": (1500 if epoxy else 900) + 60 * rng.randrange(5),
        "boards": len(shares),
        "hardener_in": (at - rng.uniform(6, 11) * _MINUTE).isoformat(timespec="milliseconds"),
    }
    if not epoxy:
        told["percent"] = _number(percent)
    return [(at, job, told | {"share_g": round(grams)}) for job, grams in shares]


def _number(value: float) -> float | int:
    value = round(value, 1)
    return int(value) if value.is_integer() else value
