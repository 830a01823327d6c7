"""The numbers one bay needs of a board, and no others: a table from stage names to spec fields.

A factory names its own stages, so they are known by words in their names. The first row that fits
counts; a stage that fits none gets the numbers any bay can use.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from orders.shape.fins import PLUG
from orders.specs.changes import Change, in_words
from orders.specs.changes import label_of as named
from orders.specs.fin_marks import fin_lines_of, said
from orders.specs.models import SpecRevision

_DIMS = ("length_nm", "width_nm", "thickness_nm")
_FOAM = (
    *_DIMS,
    *("nose_nm", "tail_nm", "tail_shape", "tail_end_nm", "tail_depth_nm", "wide_point_nm"),
    *("left_tail_shape", "left_tail_nm", "left_tail_end_nm", "left_tail_depth_nm"),
    *("left_wide_point_nm", "left_shorter_nm"),
    *("nose_rocker_nm", "nose_rocker_foot_nm", "tail_rocker_nm", "tail_rocker_foot_nm"),
    *("nose_thickness_nm", "tail_thickness_nm", "nose_tip_nm", "tail_tip_nm"),
    *("rail", "deck", "bottom", "foam", "stringer", "stated_ml"),
)
_FINS = ("fin_setup", "box_kind", "tail_shape", "fin_marks")
_CLOTH = ("deck_cloth", "bottom_cloth", "resin", "foam", "colour", "box_kind")
_COAT = ("resin", "foam", "finish", "box_kind")
_SAND = ("finish", "deck_cloth", "bottom_cloth", "rail", "tail_shape", "box_kind")
_SHINE = ("finish", "resin", "colour", "box_kind")
_COLOUR = ("colour", "foam", "resin", "finish")
_ALL = (
    *_DIMS,
    *("tail_shape", "fin_setup", "box_kind", "leash_plug", "fin_marks", "finish", "colour"),
)

# (words in the stage's name, the spec fields its bay reads, in reading order)
CARDS = (
    (r"\bqc\b|quality|inspect|\bcheck|control", _ALL),
    (r"\bfins?\b|\bbox", _FINS),
    (r"\bplug|leash", ("leash_plug", "fin_marks", "box_kind", "tail_shape", "finish")),
    (r"hot\s?coat|filler", _COAT),
    (r"gloss|polish|buff", _SHINE),
    (r"glass|lamin|\blap|cloth|resin", _CLOTH),
    (r"sand|\brub", _SAND),
    (r"spray|paint|colou?r|\bart\b|brush|tint|pinline", _COLOUR),
    (r"shap|\bcut|pre-?cut|cnc|machine|mill|plan(e|ing)|foam|blank", _FOAM),
)
_LABELS = {
    "nose_nm": "Nose, a foot down",
    "tail_nm": "Tail, a foot up",
    "tail_shape": "Tail shape",
    "deck_cloth": "Deck",
    "bottom_cloth": "Bottom",
    "deck": "Deck shape",
    "bottom": "Bottom shape",
}
_EMPTY = "–"


@dataclass(frozen=True)
class Row:
    label: str
    value: str
    was: str = ""
    usual: bool = False  # nobody asked for it: where the trade usually has it


def fields_of(stage_name: str) -> tuple[str, ...]:
    """The spec fields a stage of this name reads."""
    name = stage_name.lower()
    for words, fields in CARDS:
        if re.search(words, name):
            return fields
    return _ALL


def shapes(stage_name: str) -> bool:
    """Whether this stage gives the foam its shape."""
    return fields_of(stage_name) is _FOAM


def card(spec: SpecRevision, stage_name: str, changes: list[Change] = ()) -> list[Row]:
    """This stage's rows, each with what it said on the ticket before where that differs."""
    was = {change.label: change.before for change in changes}
    rows, fields = [], fields_of(stage_name)
    for name in fields:
        if name == "fin_marks":
            rows += _marks(spec, fields, was)
            continue
        verbose = named(name)
        value = in_words(spec, name)
        if value != _EMPTY or verbose in was:
            rows.append(Row(label_of(name), value, was.get(verbose, "")))
    return rows


def unconfirmed(names: Iterable[str], stage_name: str) -> tuple[str, ...]:
    """Of the fields nobody has confirmed yet, what a stage of this name reads, by its label."""
    read = fields_of(stage_name)
    return tuple(label_of(name).lower() for name in names if name in read)


def label_of(name: str) -> str:
    """What a field is called on cards and tickets."""
    return _LABELS.get(name, named(name))


def _marks(spec: SpecRevision, fields: tuple[str, ...], was: dict[str, str]) -> list[Row]:
    """Where fins stand for who reads of fins, where the plug stands for who reads of it."""
    return [
        Row(line.name, said(line), was.get(line.name, ""), line.usual)
        for line in fin_lines_of(spec)
        if ("leash_plug" if line.key == PLUG else "fin_setup") in fields
    ]
