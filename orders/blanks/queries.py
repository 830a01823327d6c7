"""Which blanks are kept, which fit a board, and what a board has set aside."""

from dataclasses import dataclass

from orders.blanks.matching import (
    TIGHT_MM,
    BlankShape,
    BlankStation,
    BoardProfile,
    Placement,
    nearest,
    place,
    profile_of,
)
from orders.blanks.models import Blank, BlankReservation
from orders.factory.models import Factory, LengthUnit
from orders.orderbook.models import Board
from orders.shape.body import body_of
from orders.shape.checks import impossible_numbers
from orders.shape.numbers import BoardNumbers
from orders.shape.units import NM_PER_MM, format_length
from orders.specs.choices import Foam, Stringer
from orders.specs.drawing import shape_of
from orders.specs.models import SpecRevision

FOAM_WORDS = {Foam.POLYURETHANE: "polyurethane", Foam.POLYSTYRENE: "polystyrene"}


def shape_of_blank(blank: Blank) -> BlankShape:
    return BlankShape(tuple(
        BlankStation(*(one[key] / NM_PER_MM for key in
                       ("x_nm", "width_nm", "thickness_nm", "rocker_nm")))
        for one in blank.stations))


@dataclass(frozen=True, eq=False)
class Candidate:
    blank: Blank
    placement: Placement

    @property
    def tight(self) -> list:
        return [one for one in self.placement.tightest if one.mm < TIGHT_MM]


@dataclass(frozen=True)
class Offer:
    """What the rack holds for one spec: `fitting` with the least foam to take off first, `others`
    the nearest first, and one sentence when none fits."""

    fitting: list[Candidate]
    others: list[Candidate]
    sentence: str

    @property
    def best(self) -> Candidate | None:
        """Of those that fit, the one in the rack and free with the least foam to take off."""
        return next((one for one in self.fitting if one.blank.free > 0), None)


def blanks_for(spec: SpecRevision) -> Offer:
    """Every kept blank of the spec's foam and stringer, tried. Raises OutlineError for
    impossible numbers."""
    blanks = Blank.objects.kept().filter(foam=spec.foam, stringer=spec.stringer)
    tried = candidates(spec, blanks)
    fitting = sorted((one for one in tried if one.placement.fits),
                     key=lambda one: one.placement.litres_off)
    others = sorted((one for one in tried if not one.placement.fits),
                    key=lambda one: one.placement.lack_mm)
    return Offer(fitting, others, "" if fitting else _none_fits(spec, others))


def board_profile(spec: SpecRevision) -> BoardProfile:
    return profile_of(body_of(shape_of(spec)))


def candidates(spec: SpecRevision, blanks) -> list[Candidate]:
    board = board_profile(spec)
    metric = Factory.current().length_unit == LengthUnit.MILLIMETRES
    return [Candidate(blank, place(board, shape_of_blank(blank), metric=metric))
            for blank in blanks]


def _none_fits(spec: SpecRevision, others: list[Candidate]) -> str:
    if others:
        near = nearest([(one.blank.name, one.placement) for one in others])
        return f"No blank fits. {near}"
    stringer = ("no stringer" if spec.stringer == Stringer.NONE
                else f"a {spec.get_stringer_display()} stringer")
    return f"No {FOAM_WORDS[spec.foam]} blank with {stringer} is kept."


def misfit(spec: SpecRevision, blank: Blank) -> str:
    """Why the spec cannot come out of the blank, or ""."""
    if blank.foam != spec.foam:
        return (f"The foam is another: {blank.name} is {FOAM_WORDS[blank.foam]}, the board "
                f"{FOAM_WORDS[spec.foam]}.")
    if blank.stringer != spec.stringer:
        return (f"The stringer is another: {blank.get_stringer_display()} in {blank.name}, "
                f"{spec.get_stringer_display()} on the spec.")
    lack = candidates(spec, [blank])[0].placement.lack
    return f"{blank.name} is {lack}." if lack else ""


def reservation_of(board: Board) -> BlankReservation | None:
    """What the board has set aside or was made from."""
    return (BlankReservation.objects.filter(board=board, ended_at=None)
            .select_related("blank", "spec").first())


def blanks_of(boards) -> dict[int, str]:
    """By board key, the name of what is set aside for it or was taken."""
    return dict(BlankReservation.objects.filter(board__in=boards, ended_at=None)
                .values_list("board_id", "blank__name"))


def recheck(board: Board) -> str:
    """Whether the board's newest numbers still come out of its blank: a sentence if not.

    A reason given for these very numbers stands.
    """
    kept = reservation_of(board)
    if kept is None or (kept.why and kept.spec_id == board.spec_id):
        return ""
    return misfit(board.spec, kept.blank)


def blanks_with_stock():
    return Blank.objects.order_by("-foam", "length_nm", "name")


def second_look(numbers: BoardNumbers, foam: str) -> list[str]:
    """Sentences when no blank kept of this foam is long, thick or wide enough for the numbers.

    Nothing while no blank of that foam is kept, or the numbers are impossible anyway.
    """
    blanks = list(Blank.objects.kept().filter(foam=foam))
    if not blanks or impossible_numbers(numbers):
        return []
    word, unit = FOAM_WORDS[Foam(foam)], Factory.current().length_unit
    long_unit = "mm" if unit == LengthUnit.MILLIMETRES else "ftin"
    long_enough = [one for one in blanks if one.length_nm >= round(numbers.length_mm * NM_PER_MM)]
    if not long_enough:
        longest = max(blanks, key=lambda one: one.length_nm)
        return [f"No {word} blank is this long: {longest.name} is the longest, "
                f"{format_length(longest.length_nm, long_unit)}."]
    found = []
    for key, asked, words in (("thickness_nm", numbers.thickness_mm, ("thick", "thickest")),
                              ("width_nm", numbers.width_mm, ("wide", "widest"))):
        most = max(long_enough, key=lambda one: _most(one, key))
        if round(asked * NM_PER_MM) > _most(most, key):
            found.append(f"No {word} blank long enough is this {words[0]}: {most.name} is the "
                         f"{words[1]}, {format_length(_most(most, key), unit)}.")
    return found


def _most(blank: Blank, key: str) -> int:
    return max(one[key] for one in blank.stations)
