"""How photos are named beside a tap: their refs, parted by commas."""

import uuid

MOST = 12


def refs_in(text: str) -> list[str]:
    """The refs in a field, each once; what is none is left out."""
    found = (_ref(part) for part in text.split(",")[: 2 * MOST])
    return list(dict.fromkeys(ref for ref in found if ref))[:MOST]


def ref_of(text: str) -> uuid.UUID | None:
    ref = _ref(text)
    return uuid.UUID(ref) if ref else None


def _ref(text: str) -> str:
    try:
        return str(uuid.UUID(text.strip()))
    except ValueError:
        return ""
