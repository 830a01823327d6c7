"""The ticket's short code: published check values, and every slip of a finger refused."""

import random
import string

import pytest
from stdnum.iso7064 import mod_37_2

from orders.tickets.code import ALPHABET, CODE_LENGTH, CodeError, new_code, read_code, spaced

CODES = [new_code(random.Random(seed).randrange) for seed in range(12)]
TYPED = string.ascii_letters + string.digits + string.punctuation + " "


def test_check_characters_as_published():
    # ISO/IEC 7064 MOD 37-2: the donation number example of ISBT 128 (check Y), and the same
    # number with two neighbours swapped (check H), as printed in texts on that standard.
    assert mod_37_2.calc_check_digit("G123489654321") == "Y"
    assert mod_37_2.calc_check_digit("G123498654321") == "H"


def test_a_new_code_reads_back_and_holds_no_doubtful_character():
    made = {new_code() for _ in range(3000)}
    assert len(made) > 2990
    for code in made:
        assert len(code) == CODE_LENGTH
        assert set(code) <= set(ALPHABET)
        assert not set(code) & set("ILOU*")
        assert read_code(code) == code
        assert mod_37_2.is_valid(code)


def test_bodies_with_a_doubtful_check_character_are_passed_over():
    # 000001 has the check character * or a letter outside the alphabet for some last symbol:
    # feed such a body first and the second body must be the one that is used.
    bad = next(
        body
        for body in (f"00000{symbol}" for symbol in ALPHABET)
        if mod_37_2.calc_check_digit(body) not in ALPHABET
    )
    drawn = iter([ALPHABET.index(symbol) for symbol in bad + "7K3M9Q"])
    assert new_code(lambda n: next(drawn)).startswith("7K3M9Q")


@pytest.mark.parametrize("code", CODES)
def test_every_single_wrong_character_is_refused(code):
    tried = 0
    for place in range(CODE_LENGTH):
        for symbol in TYPED:
            wrong = code[:place] + symbol + code[place + 1 :]
            meant = symbol.upper().translate(str.maketrans("ILO", "110"))
            if meant == code[place]:
                assert read_code(wrong) == code
                continue
            with pytest.raises(CodeError):
                read_code(wrong)
            tried += 1
    assert tried > CODE_LENGTH * (len(TYPED) - 6)


@pytest.mark.parametrize("code", CODES)
def test_every_swap_of_neighbours_is_refused(code):
    for place in range(CODE_LENGTH - 1):
        swapped = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
        if swapped == code:
            continue
        with pytest.raises(CodeError):
            read_code(swapped)


@pytest.mark.parametrize("code", CODES)
def test_a_lost_or_doubled_character_is_refused(code):
    for place in range(CODE_LENGTH):
        for wrong in (code[:place] + code[place + 1 :], code[:place] + code[place] + code[place:]):
            with pytest.raises(CodeError, match="has 7 characters"):
                read_code(wrong)


def test_typing_is_read_kindly():
    code = next(c for c in map(new_code, (random.Random(n).randrange for n in range(999)))
                if "0" in c and "1" in c)  # fmt: skip
    for typed in (
        code.lower(),
        spaced(code),
        f"  {code[:2]}-{code[2:5]} {code[5:]}\n",
        code.replace("0", "o").replace("1", "l"),
        code.replace("0", "O").replace("1", "I"),
    ):
        assert read_code(typed) == code


@pytest.mark.parametrize("typed", ["", "   ", "U123456", "ß123456", "*234567", "٣123456"])
def test_nonsense_gets_a_sentence(typed):
    with pytest.raises(CodeError) as refused:
        read_code(typed)
    assert str(refused.value).endswith(".")
    assert isinstance(refused.value, ValueError)
