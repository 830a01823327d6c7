"""What differs between two revisions of a spec, field by field, in words."""

from dataclasses import dataclass

from orders.specs.fin_marks import marks_in_words, moved_lines
from orders.specs.models import NUMBER_FIELDS, BoardNumbers, LengthField, SpecRevision
from orders.templatetags.trade import board_length, day, length, length_for, money

_COMPARED = [
    *("design_version", *NUMBER_FIELDS, "fin_marks", "colour", "art", "extras", "bay_notes"),
    "to_confirm",
]
_TERMS = ["price_cents", "promised_on"]


@dataclass(frozen=True)
class Change:
    label: str
    before: str
    after: str


def changes_between(
    before: SpecRevision, after: SpecRevision, *, terms: bool = False, unit: str = ""
) -> list[Change]:
    """What the bays must know; with `terms`, for the desk, the price and the date as well. `unit`
    is a customer's own: see in_words."""
    return differing(before, after, _COMPARED + (_TERMS if terms else []), unit=unit)


def differing(
    before: BoardNumbers, after: BoardNumbers, names: list[str], *, unit: str = ""
) -> list[Change]:
    """Those of the fields `names` that are not the same on both, a spec's or a design's."""
    found = []
    for name in names:
        field = SpecRevision._meta.get_field(name)
        if name == "fin_marks":
            found += [
                Change(label, old or "–", new or "–")
                for label, old, new in moved_lines(before, after)
            ]
        elif getattr(before, field.attname) != getattr(after, field.attname):
            said = (in_words(spec, name, unit=unit) for spec in (before, after))
            found.append(Change(label_of(name), *said))
    return found


def label_of(name: str) -> str:
    """What a field of a spec is called."""
    verbose = SpecRevision._meta.get_field(name).verbose_name
    return verbose[0].upper() + verbose[1:]


def in_words(spec, name: str, *, unit: str = "") -> str:
    """One field of a spec as people read it; a dash when there is nothing. Lengths are in the
    factory's unit, or in a customer's `unit` with the shaper's fractions beside it."""
    field = spec._meta.get_field(name)
    value = getattr(spec, name)
    if isinstance(field, LengthField):
        if unit and value is not None:
            return length_for(value, unit, feet=name == "length_nm")
        return (board_length if name == "length_nm" else length)(value) or "–"
    if name == "stated_ml" and value:
        return f"{value / 1000:g} L"
    if name == "fin_marks":
        return marks_in_words(spec) or "–"
    if name == "to_confirm":
        return ", ".join(label_of(unsure).lower() for unsure in value) or "–"
    if name == "price_cents":
        return money(value)
    if name == "promised_on":
        return day(value) or "–"
    if field.choices:
        return getattr(spec, f"get_{name}_display")() or "–"
    return str(value) if value not in (None, "") else "–"
