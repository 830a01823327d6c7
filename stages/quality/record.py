"""From a passed board to the words and numbers of its record. Derived from the log each time, and
the same for the same state: it carries no time of its own making."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from orders.accounts.models import User
from orders.factory.models import Factory
from orders.orderbook.models import Board
from orders.orderbook.rider_link import rider_address
from orders.shape.figures import Figures
from orders.shape.outline import OutlineError
from orders.shape.volume import estimate_litres
from orders.specs.changes import in_words
from orders.specs.choices import BoxKind, Foam
from orders.specs.drawing import figures_for, shape_of
from orders.specs.models import SpecRevision
from orders.templatetags.trade import dims_for, reads_in
from stages.log.fold import Position as Folded
from stages.photos.files import path_of
from stages.photos.queries import for_rider
from stages.quality.models import QualityRules
from stages.quality.queries import folded_of, has_passed, last_pass
from stages.quality.told import SheetTold, Told, told_of
from stages.scan.cards import label_of

PHOTOS = 3
# Common practice, no source.
CARE = (
    "Keep it out of the sun and never in a hot car: heat lifts the glass from the foam.",
    "Mend every crack before it goes in the water again.",
    "Rinse off the salt, and let it dry before it goes in its bag.",
    "Lay it and lean it on something soft: nose, tail and rails take the knocks.",
)
_HOT = "Polystyrene foam minds heat most of all: shade, and a pale bag."
_SCREWS = "Fin screws hand-tight, and no tighter."
_MADE_OF = (
    *("foam", "stringer", "deck_cloth", "bottom_cloth", "resin", "finish"),
    *("rail", "deck", "bottom", "tail_shape", "fin_setup", "box_kind", "leash_plug", "colour"),
)


@dataclass(frozen=True, kw_only=True)
class BoardRecord:
    """All that is printed. Names nobody who bought it: the paper travels with the board."""

    factory_name: str
    factory_place: str
    number: str
    dims: str
    model: str
    address: str
    figures: Figures | None
    numbers: Sequence[Told]
    differing: Sequence[Told]
    not_right: Sequence[str]
    made_of: Sequence[tuple[str, str]]
    facts: Sequence[tuple[str, str]]
    dates: Sequence[tuple[str, str]]
    hands: Sequence[tuple[str, str]]
    note: str
    care: Sequence[str]
    photos: Sequence[bytes] = ()  # JPEGs


def record_of(board: Board) -> BoardRecord | None:
    """None while the board has not passed. `board` comes with its order, spec and position."""
    folded = folded_of(board)
    if not has_passed(folded):
        return None
    entry = last_pass(board, folded)
    sheet = entry.payload.get("sheet", {}) if entry else {}
    spec = _spec_of(board, sheet.get("revision"))
    told = told_of(sheet, spec, who=False)
    factory = Factory.current()
    return BoardRecord(
        factory_name=factory.name,
        factory_place=", ".join([*factory.address_lines, *filter(None, [factory.phone])]),
        number=str(board.number),
        dims=dims_for(spec, reads_in(board.order.customer)),
        model=str(spec.design_version) if spec.design_version else "",
        address=rider_address(board),
        figures=_figures(spec, factory),
        numbers=[*told.numbers, *told.pairs],
        differing=told.differing,
        not_right=[
            f"{label}: not right, {decided}." for label, seen, decided in told.checks
            if seen != "good"
        ],
        made_of=[
            (label_of(name), words)
            for name in _MADE_OF
            if (words := in_words(spec, name)) != "–"
        ],
        facts=_facts(sheet, told, spec),
        dates=[
            (what, _paper_day(when, factory))
            for what, when in (
                ("Ordered", board.order.taken_at),
                ("Started", folded.released_at),
                ("Passed", folded.passed_at),
            )
        ],
        hands=_hands(folded) if QualityRules.current().name_hands else [],
        note=told.note,
        care=_care(spec),
        photos=_photos(board),
    )


def _spec_of(board: Board, number: int | None) -> SpecRevision:
    """The revision it was measured against; the board may have a later one by now."""
    if number is None or number == board.spec.number:
        return board.spec
    return board.revisions.select_related("design_version__design").get(number=number)


def _figures(spec: SpecRevision, factory: Factory) -> Figures | None:
    try:
        return figures_for(spec, shape_of(spec), factory)
    except OutlineError:
        return None


def _facts(sheet: dict, told: SheetTold, spec: SpecRevision) -> list[tuple[str, str]]:
    facts = []
    if told.grade:
        facts.append(("Grade", told.grade.capitalize()))
    if litres := litres_of_measured(sheet, spec) or litres_of_measured({}, spec):
        facts.append(("Litres", f"about {litres:g}, estimated"))
    if told.mass:
        facts.append(("Mass", told.mass.measured))
    return facts


def litres_of_measured(sheet: dict, spec: SpecRevision) -> float | None:
    """An estimate from the numbers as measured, for those that were."""
    fields = {field.attname for field in spec._meta.concrete_fields}
    made = SpecRevision(**{name: getattr(spec, name) for name in fields})
    for name, nm in sheet.get("measured", {}).items():
        if name in fields:
            setattr(made, name, nm)
    try:
        return estimate_litres(shape_of(made))
    except OutlineError:
        return None


def _hands(folded: Folded) -> list[tuple[str, str]]:
    """Stage by stage, first names only, each once."""
    by_stage: dict[str, dict[int, None]] = {}
    for step in folded.steps:
        helpers = (int(who) for who in step.helped)
        for person in filter(None, (step.by, *helpers)):
            by_stage.setdefault(step.name, {})[person] = None
    people = {person for hands in by_stage.values() for person in hands}
    names = dict(User.objects.filter(pk__in=people).values_list("pk", "name"))
    return [
        (stage, ", ".join(dict.fromkeys(_first(names[person]) for person in hands)))
        for stage, hands in by_stage.items()
    ]


def _photos(board: Board) -> list[bytes]:
    """The last few that are marked for the rider."""
    paths = [path_of(photo.ref, small=True) for photo in for_rider(board)[-PHOTOS:]]
    return [path.read_bytes() for path in paths if path.exists()]


def _first(name: str) -> str:
    return (name.split() or [name])[0]


def _care(spec: SpecRevision) -> list[str]:
    care = list(CARE)
    if spec.foam == Foam.POLYSTYRENE:
        care.append(_HOT)
    if spec.box_kind not in (BoxKind.GLASSED_ON, BoxKind.NONE):
        care.append(_SCREWS)
    return care


def _paper_day(moment: datetime, factory: Factory) -> str:
    """Thu 14 May 2026: paper is read in another year."""
    local = timezone.localtime(moment, factory.zone).date()
    return f"{local:%a} {local.day} {local:%b %Y}"
