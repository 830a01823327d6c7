"""A board as SVG: a small silhouette for racks and lists, and drawings with its numbers.

Millimetres throughout, nose up in plan, nose to the right from the side. Nothing here carries
inline style: colours come from the classes, or from the colour of the text around the drawing.
Letters are sized to be read where a drawing is 320 px wide; style sheets make them smaller.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache, lru_cache
from html import escape
from typing import NamedTuple

import numpy as np

from orders.shape.figures import Figures, Text, figures_of, zones_named
from orders.shape.fins import CENTRE_BOX_MM, PLUG_MM, Fin
from orders.shape.numbers import FOOT_MM, BoardNumbers
from orders.shape.outline import sides
from orders.shape.units import NM_PER_MM, format_dims, format_length

_LEFT_MM, _RIGHT_MM, _TOP_MM, _BOTTOM_MM = 95, 200, 30, 95
# Letters of 12 px where the drawing is 320 px wide.
_FONT_SHARE = 12.5 / 320
# Where the knots stand along a rail, nose to tail: closest where it turns fastest.
_RAIL_KNOTS = np.array([0, 0.025, 0.09, 0.22, 0.42, 0.63, 0.82, 0.94, 1.0])
_SHORT_KNOTS = np.array([0.0, 1.0])


class Drawing(NamedTuple):
    """One board's drawings, each an SVG: from above, the tail with its fins, from the side, and
    cut across."""

    outline: str
    tail: str
    profile: str
    sections: str


@lru_cache(maxsize=2048)
def silhouette(numbers: BoardNumbers) -> str:
    """The closed outline as path data in whole mm: y 0 at the nose tip, x 0 on the stringer."""
    right, left = (_knots(runs, numbers.length_mm) for runs in sides(numbers, 240))
    left = left[::-1] * (-1, 1)
    loop = np.vstack([right, left[1:]])
    path = f"M{right[0][0]} {right[0][1]}"
    for at in range(1, len(loop), 3):
        path += "c" + "".join(_pair(loop[at + k] - loop[at - 1]) for k in range(3)).lstrip()
    return path + "z"


def _knots(runs: list[np.ndarray], length: float) -> np.ndarray:
    """Knots and controls of one side, nose to tail, in whole mm."""
    knots: list[np.ndarray] = []
    for index, run in enumerate(runs):
        points = np.column_stack([run[:, 1], length - run[:, 0]])
        curve = _bezier(points, _RAIL_KNOTS if index == 0 else _SHORT_KNOTS)
        knots += list(curve[1:] if knots else curve)
    return np.rint(np.array(knots)).astype(int)


def _pair(delta) -> str:
    """Two numbers, with a space only where the sign does not already part them."""
    return "".join(str(value) if value < 0 else f" {value}" for value in delta)


def _bezier(points: np.ndarray, shares: np.ndarray) -> np.ndarray:
    """Knots and controls of cubics along a smooth run of points; `shares` places the knots."""
    if len(points) == 2:
        return np.linspace(points[0], points[1], 4)
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0], np.cumsum(steps)])
    spans, at = len(shares) - 1, shares * along[-1]
    near = along[-1] / 400

    def place(s):
        return np.column_stack([np.interp(s, along, points[:, k]) for k in (0, 1)])

    before, after = np.clip(at - near, 0, None), np.clip(at + near, None, along[-1])
    tangent = place(after) - place(before)
    tangent /= np.hypot(*tangent.T)[:, None]
    knots = place(at)
    out = np.empty((3 * spans + 1, 2))
    out[::3] = knots
    for i in range(spans):
        run = place(np.linspace(at[i], at[i + 1], 24))
        out[3 * i + 1], out[3 * i + 2] = _handles(run, tangent[i], -tangent[i + 1])
    return out


def _handles(run: np.ndarray, leave: np.ndarray, arrive: np.ndarray):
    """The two controls, along the given directions, whose cubic lies closest to `run`.

    Fitted rather than taken as a third of the length: a nose that is sharp in the hand has a
    tip rounded within a few millimetres, and a long handle there would draw a hollow.
    """
    first, last, size = run[0], run[-1], float(np.hypot(*(run[-1] - run[0])))
    t = np.linspace(0, 1, len(run))[:, None]
    for _ in range(2):
        b0, b1, b2, b3 = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3
        rest = run - first * (b0 + b1) - last * (b2 + b3)
        # Least squares for the two lengths; both directions are unit vectors.
        p, q = float((b1 * b1).sum()), float((b2 * b2).sum())
        r = float((b1 * b2).sum() * (leave @ arrive))
        s, v = float((b1 * (rest @ leave)[:, None]).sum()), float(
            (b2 * (rest @ arrive)[:, None]).sum())
        det = max(p * q - r * r, 1e-12)
        one, two = (min(max(value / det, 0.02 * size), 0.8 * size)
                    for value in (s * q - v * r, v * p - s * r))
        out = first + one * leave, last + two * arrive
        # Move each sample to where its point lies on the cubic by length, then fit again.
        drawn = b0 * first + b1 * out[0] + b2 * out[1] + b3 * last
        gone = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(drawn, axis=0).T))])
        t = np.interp(np.linspace(0, 1, len(run)), gone / gone[-1], t[:, 0])[:, None]
    return out


def board_svg(numbers: BoardNumbers, *, unit: str = "in", fin_setup: str | None = None,
              fin_marks: Mapping[str, Mapping] | None = None, box_kind: str | None = None,
              leash_plug: bool = True, stringer: str = "eighth", art: str = "",
              title: str = "") -> str:
    """The board from above, with stringer, stations, fins or boxes, plug and labels.

    `unit` is "in", "mm" or "cm". Fins and the plug stand where `fin_marks` says, else where they
    usually go (see `orders.shape.fins`): starting points, not placements, and marked so.
    `art` is what is written of colour and art: the places it names are marked.
    """
    figures = figures_of(numbers, unit=unit, fin_setup=fin_setup, fin_marks=fin_marks,
                         leash_plug=leash_plug, stringer=stringer)
    return _outline_svg(figures, unit, box_kind, art, title)


def drawing_of(numbers: BoardNumbers, *, unit: str = "in", fin_setup: str | None = None,
               fin_marks: Mapping[str, Mapping] | None = None, box_kind: str | None = None,
               leash_plug: bool = True, stringer: str = "eighth", art: str = "") -> Drawing:
    """All drawings of a board: see `board_svg`."""
    figures = figures_of(numbers, unit=unit, fin_setup=fin_setup, fin_marks=fin_marks,
                         leash_plug=leash_plug, stringer=stringer)
    return Drawing(_outline_svg(figures, unit, box_kind, art, ""), _tail_svg(figures, box_kind),
                   _profile_svg(figures), _sections_svg(figures))


def _outline_svg(figures: Figures, unit: str, box_kind: str | None, art: str, title: str) -> str:
    full, length, half = figures.numbers, figures.numbers.length_mm, figures.numbers.width_mm / 2
    margin = _RIGHT_MM if figures.uneven else _LEFT_MM
    left, width = -(half + margin), full.width_mm + margin + _RIGHT_MM
    height = length + _TOP_MM + _BOTTOM_MM
    font = round(width * _FONT_SHARE)
    dims = format_dims(*(_nm(v) for v in (length, full.width_mm, full.thickness_mm)), unit)
    title = title or f"Outline of a board, {dims}"
    parts = [
        _open(title, (left, -_TOP_MM, width, height), font, _describe(figures, dims)),
        f'<path class="board-outline" fill="none" stroke="currentColor" stroke-width="4" '
        f'stroke-linejoin="round" d="{_path(_plan(figures.outline(), length))}z"/>',
        _zones(art, figures, font), _strips(figures, length),
        *(_crossing(figures, crossing, font) for crossing in figures.crossings),
        _length_line(figures, left + font * 1.1, unit),
        *(_fin(placed.fin, length, box_kind) for placed in figures.fins),
    ]
    if figures.plug:
        x, across = figures.plug
        parts.append(_circle("board-plug", across, length - x, PLUG_MM / 2))
    parts.append(f'<text class="board-dims" x="{left + width / 2:.0f}" y="{length + 68:.0f}" '
                 f'text-anchor="middle" fill="currentColor">{escape(dims)}</text></svg>')
    return "".join(parts)


def _describe(figures: Figures, dims: str) -> str:
    full = figures.numbers
    said = {crossing.name: crossing.text.words for crossing in figures.crossings[:3]}
    each = "each a foot from the end" + (", right half" if figures.uneven else "")
    text = (f"{dims}, {full.tail_shape.replace('_', ' ')} tail; "
            f"nose {said['nose']}, tail {said['tail']}, {each}.")
    if full.assumed:
        names = ", ".join(name.replace("_", " ") for name in full.assumed)
        text += f" Not given, typical for the class: {names}."
    return text


def _zones(art: str, figures: Figures, font: int) -> str:
    """Faint lines and names of the places that a note about colour or art speaks of."""
    if not (named := zones_named(art)):
        return ""
    length, out = figures.numbers.length_mm, []
    half = figures.numbers.width_mm / 2
    if {"nose", "middle", "tail"} & set(named):
        out += [_line("board-zone", -half, length * third, half, length * third, 1, dashed=True)
                for third in (1 / 3, 2 / 3)]
    for zone, share in (("nose", 0.27), ("middle", 0.43), ("tail", 0.78)):
        if zone in named:
            words = zone if zone == "middle" else f"{zone} third"
            out.append(_text("board-zone-name", -10, length * share, Text(words), "end"))
    if "rails" in named:
        inner = figures.right[figures.right[:, 0] > 0.12 * length]
        for side in (-1, 1):
            across = np.maximum(inner[:, 1] - 45, 0) * side
            line = np.column_stack([across, length - inner[:, 0]])[inner[:, 1] > 60]
            out.append(f'<path class="board-zone" fill="none" stroke="currentColor" '
                       f'stroke-dasharray="14 10" d="{_path(line)}"/>')
        out.append(f'<text class="board-zone-name" transform="translate({half - 14:.0f} '
                   f'{length * 0.6:.0f}) rotate(-90)" fill="currentColor">rail</text>')
    return "".join(out)


def _strips(figures: Figures, length: float) -> str:
    """The stringer in its own width, `length` from the tail up; a hair line where there is none."""
    if not figures.strips:
        return _line("board-centre", 0, 6, 0, length - figures.stop_mm, 1, dashed=True)
    out = []
    for strip in figures.strips:
        top, foot = max(length - strip.stop, 0.0), length - strip.start
        out.append(f'<rect class="board-stringer" x="{strip.across - strip.wide / 2:.2f}" '
                   f'y="{top:.0f}" width="{strip.wide:.2f}" height="{foot - top:.0f}" '
                   f'fill="currentColor" opacity="0.45"/>')
    return "".join(out)


def _crossing(figures: Figures, crossing, font: int) -> str:
    y, half = figures.numbers.length_mm - crossing.x_mm, figures.numbers.width_mm / 2
    name = f"board-station board-station-{crossing.name}"
    if crossing.side < 0:
        line = _line(name, -half - 10, y, 0, y, 2, dashed=True)
        return line + _text("board-label", -half - 22, y + font * 0.35, crossing.text, "end")
    line = _line(name, crossing.left_mm, y, half + 10, y, 2, dashed=True)
    out = line + _text("board-label", half + 22, y + font * 0.35, crossing.text)
    if crossing.name == "wide" and figures.ahead:
        out += _text("board-label", half + 22, y + font * 0.35, figures.ahead, under=True)
    return out


def _length_line(figures: Figures, x: float, unit: str) -> str:
    length, half = figures.numbers.length_mm, figures.numbers.width_mm / 2
    text = format_length(_nm(length), "ftin" if unit == "in" else unit)
    at = -half - 30 if not figures.uneven else x + 18
    return (_line("board-measure", at, 0, at, length, 2)
            + _line("board-measure", at - 12, 0, at + 12, 0, 2)
            + _line("board-measure", at - 12, length, at + 12, length, 2)
            + f'<text class="board-label" transform="translate({at - 16:.0f} {length / 3:.0f}) '
              f'rotate(-90)" text-anchor="middle" fill="currentColor">{escape(text)}</text>')


def _tail_svg(figures: Figures, box_kind: str | None) -> str:
    """The tail enlarged: how far up and how far in from the rail each fin stands."""
    top = max([placed.fin.front[0] for placed in figures.fins] + [FOOT_MM]) + 40
    right = _below(figures.right, top)
    left = _below(figures.left, top) if figures.uneven else right * (1, -1)
    half = max(float(right[:, 1].max()), float(-left[:, 1].min()))
    width = 2 * half / 0.56
    font, edge = width * _FONT_SHARE, half + 0.02 * width
    labels = _tail_labels(figures)
    line, ys, free = font * 1.15, [], top
    for x, _, texts in labels:
        # The first line stands at the fin unless the labels below need the room.
        ys.append(min(top - x, free) - line * (len(texts) - 1))
        free = ys[-1] - 2.15 * line
    over = max(0.0, 2 * line - ys[-1]) if ys else 0.0
    parts = [
        _open("The tail and its fins, seen from the deck",
              (-half - 6, -over, width + 6, top + over + 2.2 * font), font,
              "Usual places to start from, measured to the rear edge of the base."),
        f'<path class="board-outline" fill="none" stroke="currentColor" stroke-width="3" '
        f'stroke-linejoin="round" d="{_path(_plan(np.vstack([right, left[::-1]]), top))}"/>',
        _strips(figures, top),
        _line("board-tail-line", -half, top, half, top, 1, dashed=True),
    ]
    for fin in (placed.fin for placed in figures.fins):
        parts.append(_fin(fin, top, box_kind))
        if across := fin.across_mm:
            rail, y = across + math.copysign(fin.in_from_rail_mm, across), top - fin.rear_mm
            parts.append(_line("board-measure", across, y, rail, y, 1.5))
    if figures.plug:
        parts.append(_circle("board-plug", figures.plug[1], top - figures.plug[0], PLUG_MM / 2))
    for (_, name, texts), y in zip(labels, ys, strict=True):
        parts.append(_text("board-label-name", edge, y - line, Text(name)))
        parts += [_text("board-label", edge, y + line * at, text) for at, text in enumerate(texts)]
    if figures.tail_end:
        parts.append(_text("board-label", 0, top + 1.5 * font, figures.tail_end, "middle"))
    return "".join(parts) + "</svg>"


def _below(side: np.ndarray, top: float) -> np.ndarray:
    """The part of a side up to `top` mm from the tail line."""
    across = np.interp(top, side[::-1, 0], side[::-1, 1])
    return np.vstack([[top, across], side[side[:, 0] < top]])


def _tail_labels(figures: Figures) -> list[tuple[float, str, tuple[Text, ...]]]:
    """(x, name, lines) from the tail upwards; even sides are named once."""
    rows = []
    for placed in figures.fins:
        fin = placed.fin
        if fin.across_mm < 0 and not figures.uneven:
            continue
        side = "left " if fin.across_mm < 0 else "right "
        name = f"{side if figures.uneven and fin.across_mm else ''}{fin.name} fin"
        rows.append((fin.rear_mm, name, placed.texts))
    if figures.plug:
        rows.append((figures.plug[0], "plug", (figures.plug_text,)))
    return sorted(rows, key=lambda row: row[0])


def _profile_svg(figures: Figures) -> str:
    """The board from the side on a straight edge: thickness over it, rocker under it."""
    length = figures.numbers.length_mm
    font = length * _FONT_SHARE * 1.06
    high = max(mark.deck_mm for mark in figures.marks)
    row, pad = font * 1.25, font * 0.4
    base = 2 * row + pad + high
    line = np.vstack([figures.bottom, figures.deck[::-1]])
    parts = [
        _open("From the side: thickness above, rocker below",
              (-10, 0, length + 20, base + pad + 2 * row + font * 0.3), font, ""),
        _line("board-edge", 0, base, length, base, 2, dashed=True),
        f'<path class="board-outline" fill="none" stroke="currentColor" stroke-width="5" '
        f'stroke-linejoin="round" d="{_path(line * (1, -1) + (0, base))}z"/>',
        _text("board-label-name", length / 2, row - font * 0.2, Text("thickness"), "middle"),
        _text("board-label-name", length / 2, base + pad + 2 * row - font * 0.2, Text("rocker"),
              "middle"),
    ]
    for index, mark in enumerate(figures.marks):
        anchor = ("start", "middle", "middle", "middle", "end")[index]
        foot = index in (1, 3)
        over, under = (row if foot else 2 * row), base + pad + (2 * row if foot else row)
        parts.append(_line("board-station", mark.x_mm, over + font * 0.1, mark.x_mm,
                           under - font * 0.85 if mark.rocker else base, 2, dashed=True))
        parts.append(_text("board-label", mark.x_mm, over - font * 0.2, mark.thickness, anchor))
        if mark.rocker:
            parts.append(_text("board-label", mark.x_mm, under - font * 0.1, mark.rocker, anchor))
    return "".join(parts) + "</svg>"


def _sections_svg(figures: Figures) -> str:
    """Three cuts across the board to one scale, nose first, seen from the tail."""
    width = figures.numbers.width_mm + 20
    font, y, parts = width * _FONT_SHARE, 0.0, []
    for cut in figures.cuts:
        base = y + 1.5 * font + cut.high_mm
        assumed = cut.width.assumed or cut.thickness.assumed
        text = Text(f"{cut.name}: {cut.width.words} x {cut.thickness.words}", assumed)
        parts.append(_text("board-label", 0, y + font, text, "middle"))
        parts.append(f'<path class="board-outline" fill="none" stroke="currentColor" '
                     f'stroke-width="2.5" stroke-linejoin="round" '
                     f'd="{_path(cut.points * (1, -1) + (0, base))}z"/>')
        parts += [f'<rect class="board-stringer" x="{strip.across - strip.wide / 2:.2f}" '
                  f'y="{base - cut.thickness_mm:.1f}" width="{strip.wide:.2f}" '
                  f'height="{cut.thickness_mm:.1f}" fill="currentColor" opacity="0.45"/>'
                  for strip in figures.strips]
        y = base - min(cut.low_mm, 0) + font * 0.9
    top = _open("Sections, seen from the tail", (-width / 2, 0, width, y), font, "")
    return top + "".join(parts) + "</svg>"


def _open(title: str, box: tuple[float, ...], font: float, description: str) -> str:
    more = f"<desc>{escape(description)}</desc>" if description else ""
    return (f'<svg xmlns="http://www.w3.org/2000/svg" class="board-drawing" role="img" '
            f'aria-label="{escape(title)}" viewBox="{box[0]:.0f} {box[1]:.0f} {box[2]:.0f} '
            f'{box[3]:.0f}" font-size="{font:.0f}"><title>{escape(title)}</title>{more}')


def _nm(mm: float) -> int:
    return round(mm * NM_PER_MM)


def _plan(points: np.ndarray, length: float) -> np.ndarray:
    """(x, across) as it stands on the page, nose up."""
    return points[:, ::-1] * (1, -1) + (0, length)


@cache
def _numbers_of(count: int) -> str:
    return "M" + " ".join(["%.1f"] * count)


def _path(points: np.ndarray) -> str:
    """Straight runs through all points; what they follow is close enough for no corner to show."""
    values = points.ravel().tolist()
    return _numbers_of(len(values)) % tuple(values)


def _text(name: str, x: float, y: float, text: Text, anchor: str = "start", *,
          under: bool = False) -> str:
    """Words at a place, or `under` those that stand there, however large they are."""
    about = " is-assumed" if text.assumed else ""
    place = "" if anchor == "start" else f' text-anchor="{anchor}"'
    if under:
        place += ' dy="1.15em"'
    return (f'<text class="{name}{about}" x="{x:.0f}" y="{y:.0f}"{place} fill="currentColor">'
            f"{escape(text.words, quote=False)}</text>")


def _fin(fin: Fin, length: float, box_kind: str | None) -> str:
    (front_x, front_across), on_stringer = fin.front, fin.across_mm == 0
    ends = (fin.across_mm, length - fin.rear_mm, front_across, length - front_x)
    base = _line(f"board-fin board-fin-{fin.name}", *ends, 7)
    long_box = on_stringer and (box_kind in ("centre_box", "centre_and_slots"))
    if long_box:
        spare = (CENTRE_BOX_MM - fin.base_mm) / 2
        # The slot keeps clear of the tail: it slides forward rather than off the board.
        back = max(fin.rear_mm - spare, 40.0)
        return _slot((0, length - back - CENTRE_BOX_MM), (0, length - back), 24) + base
    if box_kind == "two_plug":
        plugs = "".join(_circle("board-box", ends[0] + (ends[2] - ends[0]) * at,
                                ends[1] + (ends[3] - ends[1]) * at, 11) for at in (0.22, 0.78))
        return base + plugs
    if box_kind in ("single_slot", "centre_and_slots", "centre_box"):
        return _slot(ends[2:], ends[:2], 20) + base
    return base


def _slot(front, rear, width: float) -> str:
    """A box with round ends, `width` mm across, along the line from front to rear."""
    (fx, fy), (rx, ry) = front, rear
    size = math.hypot(rx - fx, ry - fy)
    angle = math.degrees(math.atan2(rx - fx, -(ry - fy)))
    return (f'<rect class="board-box" x="{-width / 2:.0f}" y="-6" width="{width:.0f}" '
            f'height="{size + 12:.0f}" rx="{width / 2:.0f}" fill="none" stroke="currentColor" '
            f'stroke-width="2.5" transform="translate({fx:.1f} {fy:.1f}) '
            f'rotate({angle + 180:.1f})"/>')


def _line(name: str, x1: float, y1: float, x2: float, y2: float, width: float,
          *, dashed: bool = False) -> str:
    dash = ' stroke-dasharray="14 10"' if dashed else ""
    return (f'<line class="{name}" x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" '
            f'stroke="currentColor" stroke-width="{width}" stroke-linecap="round"{dash}/>')


def _circle(name: str, x: float, y: float, radius: float) -> str:
    return (f'<circle class="{name}" cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" fill="none" '
            f'stroke="currentColor" stroke-width="3"/>')
