"""The short code of a board's ticket: printed under the QR, typed when a scan will not read.

Six random symbols from Crockford's base 32 alphabet (no I, L, O or U), then one check character
by ISO/IEC 7064 MOD 37-2. That system catches every single wrong character and every swap of
two neighbours (unlike MOD 37-36, which misses some swaps): two, a primitive root of 37, gives
every place a weight of its own, and no difference of two symbols is a multiple of 37.
Bodies whose check character would be I, L, O, U or * are not used.
"""

import secrets
from collections.abc import Callable

from stdnum.iso7064 import mod_37_2

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
BODY_LENGTH = 6
CODE_LENGTH = BODY_LENGTH + 1

_SPACING = str.maketrans("", "", " -\t\r\n\u00a0\u2010\u2011\u2012\u2013\u2014")
_LOOKALIKES = str.maketrans("ILO", "110")


class CodeError(ValueError):
    """What was typed is no ticket code; the message is a sentence to show."""


def new_code(randbelow: Callable[[int], int] = secrets.randbelow) -> str:
    """A new code of seven characters; `randbelow(n)` gives a number from 0 to n - 1.

    About 930 million codes exist. Whoever stores one keeps it unique.
    """
    while True:
        body = "".join(ALPHABET[randbelow(len(ALPHABET))] for _ in range(BODY_LENGTH))
        check = mod_37_2.calc_check_digit(body)
        if check in ALPHABET:
            return body + check


def read_code(text: str) -> str:
    """The code that was typed: any case, spaces and hyphens allowed, I and L as 1, O as 0.

    Raises CodeError with a sentence when it cannot be a code.
    """
    code = text.translate(_SPACING).upper().translate(_LOOKALIKES)
    if len(code) != CODE_LENGTH:
        raise CodeError(
            f"A ticket code has {CODE_LENGTH} characters; this has {len(code)}. "
            "Read it again from the ticket."
        )
    strange = next((symbol for symbol in code if symbol not in ALPHABET), None)
    if strange is not None:
        raise CodeError(f"A ticket code never holds {strange!r}. Read it again from the ticket.")
    if not mod_37_2.is_valid(code):
        raise CodeError(
            "One character is wrong or two are swapped. Read the code again from the ticket."
        )
    return code


def spaced(code: str) -> str:
    """The code as it is printed and read aloud: three, a space, four."""
    return f"{code[:3]} {code[3:]}"
