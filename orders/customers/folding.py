"""Folds text for searching: no accents, no case."""

import unicodedata

# Letters that Unicode does not take apart into a letter and an accent.
_WHOLE = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ß": "ss", "đ": "d", "ł": "l", "ð": "d"})


def fold(text: str) -> str:
    apart = unicodedata.normalize("NFKD", text.casefold().translate(_WHOLE))
    return " ".join("".join(c for c in apart if not unicodedata.combining(c)).split())
