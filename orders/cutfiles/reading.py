"""The outline in a cut file: the largest closed path of a DXF or SVG that is no frame of four
corners, in its own units.

Files come from anywhere, so what could make reading endless is refused first: size, numbers of
parts and points, entities in XML, copies of copies. Whatever a reader then cannot make sense of is
`Unreadable`, with a sentence; the file is kept all the same.
"""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from collections import deque
from dataclasses import dataclass
from itertools import islice
from xml.parsers import expat

import numpy as np
from ezdxf import path as dxf_path
from ezdxf import recover
from svgelements import SVG, Close, Line, Move, Path, Shape

MOST_BYTES_READ = 2_000_000  # an outline is some kilobytes; this much takes seconds
MOST_PARTS = 10_000
MOST_POINTS = 40_000
_JOIN = 2e-5  # ends this near, as a share of the drawing's size, are one point
_FLAT = 1e-5  # how far a chord may leave its curve, likewise
MM = {"millimetres": 1.0, "centimetres": 10.0, "metres": 1000.0, "inches": 25.4, "feet": 304.8}
_DXF_UNITS = {1: "inches", 2: "feet", 4: "millimetres", 5: "centimetres", 6: "metres"}
_DXF_KINDS = {"LWPOLYLINE", "POLYLINE", "LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE"}
# CSS counts 96 px to the inch; older drawing programs wrote 72 or 90.
_PIXELS = {"pixels": 25.4 / 96, "points": 25.4 / 72}
_PHYSICAL = ("mm", "cm", "in", "pt", "pc")


class Unreadable(Exception):
    """The outline cannot be read; the message is one sentence for a person."""


@dataclass(frozen=True)
class ReadOutline:
    """The path as (n, 2), y upwards, and what its unit may be: {words: mm}. More than one when
    the file does not say. `closed` is False when the ends were joined by a straight line."""

    points: np.ndarray
    units: dict[str, float]
    closed: bool


def check_kind(name: str, content: bytes) -> str:
    """Which of the two kinds it is, by its name. Raises Unreadable without looking inside."""
    ending = name.lower().rpartition(".")[2]
    if ending not in ("dxf", "svg"):
        raise Unreadable("Only DXF and SVG files are compared with the order.")
    if len(content) > MOST_BYTES_READ:
        raise Unreadable("The file is too large to be compared: 2 MB is the most.")
    return ending


def read_outline(name: str, content: bytes) -> ReadOutline:
    """Takes as long and as much memory as the file asks for: see process.py."""
    ending = check_kind(name, content)
    try:
        paths, units = (_dxf if ending == "dxf" else _svg)(content)
        return _largest(paths, units)
    except (Unreadable, MemoryError, RecursionError):
        raise
    # A broken or hostile file can make a reader fail in any way; none may stop the upload.
    except Exception as error:
        raise Unreadable(f"The file could not be read as {ending.upper()}.") from error


def _dxf(content: bytes) -> tuple[list[np.ndarray], dict[str, float]]:
    document, _ = recover.read(io.BytesIO(content))
    # Counted with what is no line as well: opening a block costs the same whatever is in it.
    parts = list(islice(_opened(document.modelspace()), MOST_PARTS + 1))
    if len(parts) > MOST_PARTS:
        raise Unreadable("The drawing has too many parts to be compared.")
    lines = (part for part in parts if part.dxftype() in _DXF_KINDS)
    made = [p for line in lines for p in dxf_path.make_path(line).sub_paths()]
    ends = np.array([(v.x, v.y) for p in made for v in p.control_vertices()] or [(0, 0)])
    flat = max(float(np.ptp(ends, axis=0).max()) * _FLAT, 1e-9)
    paths = [np.array([(v.x, v.y) for v in p.flattening(flat)]) for p in made if len(p)]
    unit = _DXF_UNITS.get(document.units)
    known = ("millimetres", "inches", "centimetres", "metres")
    return paths, {unit: MM[unit]} if unit else {words: MM[words] for words in known}


def _opened(space):
    """Every entity; one level of blocks is opened, blocks within blocks are not."""
    for entity in space:
        yield entity
        if entity.dxftype() == "INSERT":
            yield from entity.virtual_entities()


def _svg(content: bytes) -> tuple[list[np.ndarray], dict[str, float]]:
    _guard_xml(content)
    root = ET.fromstring(content)
    units = {"millimetres": 25.4 / 96}  # svgelements turns every length into 96ths of an inch
    if not (root.get("width") or "").strip().endswith(_PHYSICAL):
        # The file does not say how large it is: take its numbers as they are.
        for name in ("width", "height", "viewBox"):
            root.attrib.pop(name, None)
        units = {"millimetres": 1.0, **_PIXELS, "inches": 25.4, "centimetres": 10.0}
    drawing = SVG.parse(io.BytesIO(ET.tostring(root)), ppi=96, reify=True)
    paths = []
    for shape in drawing.elements():
        if isinstance(shape, Shape):
            paths += [_flattened(Path(sub)) for sub in Path(shape).as_subpaths()]
    return [np.array(p) * (1, -1) for p in paths if len(p) > 1], units


def _guard_xml(content: bytes) -> None:
    """Refuses entities, copies (`use`) and very many or very deep elements, before any reader
    that would expand them."""
    depth = parts = 0

    def entity(*_):
        raise Unreadable("The file declares entities; it is kept but not compared.")

    def start(name, _):
        nonlocal depth, parts
        depth, parts = depth + 1, parts + 1
        if name.rpartition(":")[2] == "use":
            raise Unreadable("The drawing uses copies of parts; save it with plain paths.")
        if parts > MOST_PARTS or depth > 100:
            raise Unreadable("The drawing has too many parts to be compared.")

    def end(_):
        nonlocal depth
        depth -= 1

    parser = expat.ParserCreate()
    parser.EntityDeclHandler = entity
    parser.StartElementHandler, parser.EndElementHandler = start, end
    parser.Parse(content, True)


def _flattened(path: Path) -> list[tuple[float, float]]:
    points = []
    for segment in path:
        if isinstance(segment, Move | Line | Close):
            points.append(segment.end)
        else:
            points += [segment.point(t) for t in np.linspace(0, 1, 65)[1:]]
        if len(points) > MOST_POINTS:
            raise Unreadable("The drawing has too many points to be compared.")
    return [(p.x, p.y) for p in points if p is not None]


def _largest(paths: list[np.ndarray], units: dict[str, float]) -> ReadOutline:
    paths = [p for p in paths if len(p) > 1 and np.isfinite(p).all()]
    if not paths:
        raise Unreadable("No outline was found in the drawing.")
    if sum(map(len, paths)) > MOST_POINTS:
        raise Unreadable("The drawing has too many points to be compared.")
    size = float(np.ptp(np.vstack(paths), axis=0).max())
    chains = _joined(paths, size * _JOIN)
    # Frames and title blocks have four corners; no board has.
    chains = [p for p in chains if len(np.unique(p, axis=0)) > 4] or chains
    closed = [p for p in chains if np.hypot(*(p[0] - p[-1])) <= size * _JOIN]
    best = max(closed or chains, key=_area)
    if _area(best) < (size * 1e-3) ** 2:
        raise Unreadable("No closed outline was found in the drawing.")
    return ReadOutline(best, units, bool(closed))


def _area(points: np.ndarray) -> float:
    x, y = (points - points[0]).T
    return abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2


def _joined(paths: list[np.ndarray], near: float) -> list[np.ndarray]:
    """Open paths put end to end where their ends meet."""
    sizes = [float(np.ptp(p, axis=0).max()) for p in paths]
    ends_meet = [np.hypot(*(p[0] - p[-1])) <= near for p in paths]
    whole, loose = [], []
    # Longest first: a chain that began with a speck would look closed at once.
    for at in np.argsort(sizes)[::-1]:
        (whole if ends_meet[at] and sizes[at] > 4 * near else loose).append(paths[at])
    if not loose:
        return whole
    # Start and end of each path in turn; one that is taken lies infinitely far away.
    ends = np.array([end for p in loose for end in (p[0], p[-1])])
    x, y = ends[:, 0].copy(), ends[:, 1].copy()
    for index, path in enumerate(loose):
        if np.isinf(x[2 * index]):
            continue
        chain, first, last = deque([path]), path[0], path[-1]
        x[2 * index:2 * index + 2] = np.inf
        for going_on in (True, False):
            while np.hypot(*(first - last)) > near:
                end = last if going_on else first
                away = (x - end[0]) ** 2 + (y - end[1]) ** 2
                met = int(np.argmin(away))
                if away[met] > near**2:
                    break
                # A path is met at its start going on along the chain, at its end going back.
                piece = loose[met // 2]
                piece = piece if (met % 2 == 0) == going_on else piece[::-1]
                x[met // 2 * 2:met // 2 * 2 + 2] = np.inf
                if going_on:
                    chain.append(piece[1:])
                    last = piece[-1]
                else:
                    chain.appendleft(piece[:-1])
                    first = piece[0]
        whole.append(np.vstack(chain))
    return whole
