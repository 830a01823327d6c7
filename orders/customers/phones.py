"""Telephone numbers, kept in E.164 so that the same number is the same text."""

import phonenumbers
from phonenumbers import PhoneNumberFormat, PhoneNumberType


class PhoneError(ValueError):
    """What was typed is no telephone number; the message says what to type."""


def parse_phone(text: str, region: str) -> str:
    """E.164 from what people type; a number without a country code is one of `region`."""
    try:
        number = phonenumbers.parse(text, region)
    except phonenumbers.NumberParseException:
        raise PhoneError(_hint(text, region)) from None
    if not phonenumbers.is_valid_number(number):
        raise PhoneError(_hint(text, region))
    return phonenumbers.format_number(number, PhoneNumberFormat.E164)


def format_phone(e164: str) -> str:
    """As people read it: +47 923 45 678. Text that is no number is given back as it is."""
    try:
        number = phonenumbers.parse(e164)
    except phonenumbers.NumberParseException:
        return e164
    if not phonenumbers.is_valid_number(number):
        return e164
    return phonenumbers.format_number(number, PhoneNumberFormat.INTERNATIONAL)


def _hint(text: str, region: str) -> str:
    example = phonenumbers.example_number_for_type(region, PhoneNumberType.MOBILE)
    if example is None:
        return f"{text} cannot be checked as a telephone number. Type it with its country code."
    here = phonenumbers.format_number(example, PhoneNumberFormat.NATIONAL)
    whole = phonenumbers.format_number(example, PhoneNumberFormat.INTERNATIONAL)
    return f"{text} cannot be checked as a telephone number. Type it like {here} or {whole}."
