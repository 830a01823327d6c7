"""The list of what can be wrong, and what was wrong with one board."""

import uuid
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime

from orders.factory.models import Factory
from stages.defects.models import DefectKind
from stages.defects.spots import Spot, spot_of
from stages.log.fold import Kind
from stages.log.fold import Position as Folded
from stages.log.models import Entry
from stages.photos.models import Photo


def kinds_offered() -> list[str]:
    return list(DefectKind.objects.filter(retired=False).values_list("name", flat=True))


@dataclass(frozen=True)
class Found:
    """One defect of a board: what, where, who found it at which step, and where it came from."""

    at: datetime
    by: str
    what: str
    note: str
    at_step: str
    sent_to: str
    came_from: str
    lost: bool
    spot: Spot | None
    spot_words: str
    photos: list[Photo]
    photos_missing: int  # named by the entry, and still on the device that took them


def defects_of(
    entries: Iterable[Entry], folded: Folded | None, photos: Iterable[Photo]
) -> list[Found]:
    """What sent the board back or lost it, newest first; asks nothing of the database.

    `entries` are all of the board's. What was taken back within the minute is left out.
    """
    if folded is None:
        return []
    entries = list(entries)
    undone = {entry.payload.get("ref") for entry in entries if entry.kind == Kind.UNDONE}
    stages = {step.stage: step.name for step in folded.steps}
    by_ref = {str(photo.ref): photo for photo in photos}
    unit = Factory.current().length_unit
    found = []
    for entry in entries:
        if entry.kind not in (Kind.SENT_BACK, Kind.SCRAPPED) or str(entry.ref) in undone:
            continue
        said, spot = entry.payload, spot_of(entry.payload)
        refs = said.get("photos", [])
        found.append(
            Found(
                at=min(entry.happened_at, entry.recorded_at),
                by=entry.by.name,
                what=said.get("defect") or said.get("reason", ""),
                note=said.get("note", ""),
                at_step=stages.get(entry.stage_id, "the rack"),
                sent_to=_name(folded, said.get("to")),
                came_from=_name(folded, said.get("cause")),
                lost=entry.kind == Kind.SCRAPPED,
                spot=spot,
                spot_words=spot.words(unit) if spot else "",
                photos=[by_ref[ref] for ref in refs if ref in by_ref],
                photos_missing=sum(ref not in by_ref for ref in refs),
            )
        )
    return found[::-1]


def _name(folded: Folded, index: int | None) -> str:
    return folded.steps[index].name if index is not None and index < len(folded.steps) else ""


@dataclass(frozen=True)
class Again:
    """A step that was done again; whether it is paid. `ref` is the next word's."""

    index: int
    name: str
    attempt: int
    paid: bool
    ref: uuid.UUID = field(default_factory=uuid.uuid4)


def done_again(folded: Folded | None) -> list[Again]:
    """Of a board, what was finished by now."""
    steps = folded.steps[: folded.index] if folded else ()
    return [
        Again(index, step.name, step.attempt, bool(step.paid_again))
        for index, step in enumerate(steps)
        if step.attempt > 1
    ]
