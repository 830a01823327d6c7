"""Where a spec's fins and plug stand, in the factory's words."""

from orders.factory.models import Factory
from orders.shape.fin_words import Line, fin_lines
from orders.shape.outline import OutlineError
from orders.specs.choices import LeashPlug
from orders.specs.drawing import shape_of
from orders.specs.models import BoardNumbers


def fin_lines_of(spec: BoardNumbers) -> list[Line]:
    """A line for each fin or pair and the plug; none for numbers that cannot be drawn."""
    try:
        return fin_lines(
            shape_of(spec),
            spec.fin_setup,
            spec.fin_marks,
            unit=Factory.current().length_unit,
            leash_plug=spec.leash_plug != LeashPlug.NONE,
        )
    except OutlineError:
        return []


def said(line: Line) -> str:
    """The line on paper: what nobody asked for is told apart."""
    return f"{line.words} (usual)" if line.usual else line.words


def marks_in_words(spec: BoardNumbers) -> str:
    """What was marked for this board alone, in one line."""
    return "; ".join(
        f"{line.name.lower()} {line.words}" for line in fin_lines_of(spec) if not line.usual
    )


def moved_lines(before: BoardNumbers, after: BoardNumbers) -> list[tuple[str, str, str]]:
    """(name, before, after) of each fin or plug whose marks differ."""
    old = {line.key: line for line in fin_lines_of(before)}
    new = {line.key: line for line in fin_lines_of(after)}
    return [
        (
            (new.get(key) or old[key]).name,
            said(old[key]) if key in old else "",
            said(new[key]) if key in new else "",
        )
        for key in dict.fromkeys([*old, *new])
        if before.fin_marks.get(key) != after.fin_marks.get(key)
    ]
