"""A board as SVG: a small silhouette for racks and lists, and a drawing with its numbers.

Millimetres throughout, nose up. Nothing here carries inline style: colours come from the
classes, or from the colour of the text around the drawing.
"""

from __future__ import annotations

from functools import lru_cache
from html import escape

import numpy as np

from orders.shape.fins import CENTRE_BOX_MM, PLUG_MM, Fin, fin_layout, leash_plug_at
from orders.shape.numbers import FOOT_MM, BoardNumbers
from orders.shape.outline import outline_pieces, rail
from orders.shape.units import format_dims, format_length

_LEFT_MM, _RIGHT_MM, _TOP_MM, _BOTTOM_MM = 95, 200, 30, 95
# Where the knots stand along a rail, nose to tail: closest where it turns fastest.
_RAIL_KNOTS = np.array([0, 0.025, 0.09, 0.22, 0.42, 0.63, 0.82, 0.94, 1.0])
_SHORT_KNOTS = np.array([0.0, 1.0])


@lru_cache(maxsize=2048)
def silhouette(numbers: BoardNumbers) -> str:
    """The closed outline as path data in whole mm: y 0 at the nose tip, x 0 on the stringer."""
    length = numbers.length_mm
    knots: list[np.ndarray] = []
    for index, piece in enumerate(outline_pieces(numbers, 240)):
        points = np.column_stack([piece[:, 1], length - piece[:, 0]])
        curve = _bezier(points, _RAIL_KNOTS if index == 0 else _SHORT_KNOTS)
        knots += list(curve[1:] if knots else curve)
    right = np.rint(np.array(knots)).astype(int)
    left = right[::-1] * (-1, 1)
    loop = np.vstack([right, left[1:]])
    path = f"M{right[0][0]} {right[0][1]}"
    for at in range(1, len(loop), 3):
        path += "c" + "".join(_pair(loop[at + k] - loop[at - 1]) for k in range(3)).lstrip()
    return path + "z"


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
              box_kind: str | None = None, leash_plug: bool = True, title: str = "") -> str:
    """The drawing with stringer, stations, fins or boxes, plug and labels.

    `unit` is "in", "mm" or "cm". Fins and the plug stand where they usually go (see
    `orders.shape.fins` for figures and sources); they are starting points, not placements.
    """
    shape = rail(numbers)
    full, half = shape.numbers, numbers.width_mm / 2
    left, width = -(half + _LEFT_MM), numbers.width_mm + _LEFT_MM + _RIGHT_MM
    height = numbers.length_mm + _TOP_MM + _BOTTOM_MM
    font = round(width / 23)
    dims = format_dims(*(_nm(v) for v in (full.length_mm, full.width_mm, full.thickness_mm)), unit)
    title = title or f"Outline of a board, {dims}"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="board-drawing" role="img" '
        f'aria-label="{escape(title)}" viewBox="{left:.0f} {-_TOP_MM} {width:.0f} {height:.0f}" '
        f'font-size="{font}">',
        f"<title>{escape(title)}</title><desc>{escape(_describe(full, dims, unit))}</desc>",
        f'<path class="board-outline" fill="none" stroke="currentColor" stroke-width="4" '
        f'stroke-linejoin="round" d="{silhouette(numbers)}"/>',
        _line("board-stringer", 0, 6, 0, numbers.length_mm - _stringer_stop(full), 1.5),
        _stations(full, shape.wide_x_mm, unit, font),
        _length_line(full, unit),
        "".join(_fin(fin, numbers.length_mm, box_kind)
                for fin in fin_layout(numbers, fin_setup)),
    ]
    if leash_plug:
        x, across = leash_plug_at(numbers)
        parts.append(_circle("board-plug", across, numbers.length_mm - x, PLUG_MM / 2))
    parts.append(f'<text class="board-dims" x="{left + width / 2:.0f}" '
                 f'y="{numbers.length_mm + 68}" text-anchor="middle" fill="currentColor">'
                 f"{escape(dims)}</text></svg>")
    return "".join(parts)


def _nm(mm: float) -> int:
    return round(mm * 1_000_000)


def _label(mm: float, unit: str) -> str:
    return format_length(_nm(mm), unit)


def _assumed(full: BoardNumbers, field: str) -> str:
    return " is-assumed" if field in full.assumed else ""


def _describe(full: BoardNumbers, dims: str, unit: str) -> str:
    text = (f"{dims}, {full.tail_shape.replace('_', ' ')} tail; "
            f"nose {_shown(full, 'nose', unit)}, tail {_shown(full, 'tail', unit)}, "
            f"each a foot from the end.")
    if full.assumed:
        names = ", ".join(name.replace("_", " ") for name in full.assumed)
        text += f" Not given, typical for the class: {names}."
    return text


def _shown(full: BoardNumbers, name: str, unit: str) -> str:
    """A width as a label. A typical value is marked and rounded, so none looks ordered."""
    mm = getattr(full, f"{name}_mm")
    if name not in full.assumed:
        return _label(mm, unit)
    step = 25.4 / 4 if unit == "in" else 5.0
    return "≈ " + _label(round(mm / step) * step, unit)


def _stringer_stop(full: BoardNumbers) -> float:
    return full.tail_depth_mm if full.tail_shape == "swallow" else 6.0


def _stations(full: BoardNumbers, wide_x: float, unit: str, font: int) -> str:
    rows = [("nose", full.length_mm - FOOT_MM, full.nose_mm, _shown(full, "nose", unit)),
            ("wide", wide_x, full.width_mm, _label(full.width_mm, unit)),
            ("tail", FOOT_MM, full.tail_mm, _shown(full, "tail", unit))]
    out = []
    for name, x, width, text in rows:
        y = full.length_mm - x
        out.append(_line(f"board-station board-station-{name}", -width / 2, y,
                         full.width_mm / 2 + 10, y, 2, dashed=True))
        out.append(f'<text class="board-label{_assumed(full, name)}" '
                   f'x="{full.width_mm / 2 + 26:.0f}" y="{y + font * 0.35:.0f}" '
                   f'fill="currentColor">{escape(text)}</text>')
    return "".join(out)


def _length_line(full: BoardNumbers, unit: str) -> str:
    x, length = -full.width_mm / 2 - 30, full.length_mm
    text = format_length(_nm(length), "ftin" if unit == "in" else unit)
    return (_line("board-measure", x, 0, x, length, 2)
            + _line("board-measure", x - 12, 0, x + 12, 0, 2)
            + _line("board-measure", x - 12, length, x + 12, length, 2)
            + f'<text class="board-label" transform="translate({x - 18:.0f} {length / 2:.0f}) '
              f'rotate(-90)" text-anchor="middle" fill="currentColor">{escape(text)}</text>')


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
    size = float(np.hypot(rx - fx, ry - fy))
    angle = np.degrees(np.arctan2(rx - fx, -(ry - fy)))
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
