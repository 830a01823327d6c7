"""Whole numbers in addresses and hidden fields: keys and board numbers that anybody may change."""

_MOST_DIGITS = 9


def whole_number(text: str | None) -> int | None:
    """The number that `text` writes in at most nine digits, which every integer column can hold;
    None for anything else."""
    is_one = text and text.isascii() and text.isdecimal() and len(text) <= _MOST_DIGITS
    return int(text) if is_one else None
