"""The weeks up to one as two small drawings for paper: told apart in black and white."""

from reportlab.graphics.shapes import Circle, Drawing, Line, Rect, String
from reportlab.lib import colors
from reportlab.lib.units import mm

from orders.tickets.typeset import REGULAR
from stages.week.figures import Run

GREY = colors.Color(0.4, 0.4, 0.4)
PALE = colors.Color(0.7, 0.7, 0.7)
HIGH = 34 * mm
BASE, ROOM_ABOVE = 10 * mm, 5 * mm
BAR = 0.66  # of a week's room
LETTERS, DAYS = 6.5, 5.8


def passed_weeks(run: Run, wide: float) -> Drawing:
    """A bar a week: filled what came on its day or without a promise, empty what came late."""
    drawing = _empty(
        run, wide, "Passed QC in each week from Monday, this one last; the white part was late."
    )
    most = max(week.boards for week in run.weeks) or 1
    room, scale = wide / len(run.weeks), (HIGH - BASE - ROOM_ABOVE) / most
    for at, week in enumerate(run.weeks):
        x, kept = room * (at + (1 - BAR) / 2), scale * (week.boards - week.late)
        style = {"strokeColor": colors.black, "strokeWidth": 0.5}
        if week.boards > week.late:
            drawing.add(Rect(x, BASE, room * BAR, kept, fillColor=GREY, **style))
        if week.late:
            late = Rect(
                x, BASE + kept, room * BAR, scale * week.late, fillColor=colors.white, **style
            )
            drawing.add(late)
        drawing.add(_text(room * (at + 0.5), BASE + scale * week.boards + 2, str(week.boards)))
    return drawing


def medians(run: Run, wide: float) -> Drawing:
    """A dot a week at its median of turnaround in days, on the line of its interval."""
    drawing = _empty(
        run, wide, "Days by which half of a week's boards were through; the line is the interval."
    )
    known = [one for one in run.medians if one]
    most = max((one.high for one in known), default=1.0)
    room, scale = wide / len(run.medians), (HIGH - BASE - ROOM_ABOVE) / most
    for at, one in enumerate(run.medians):
        x = room * (at + 0.5)
        if one is None:
            drawing.add(_text(x, BASE + 2, "few"))
            continue
        low, middle, high = (BASE + scale * days for days in (one.low, one.value, one.high))
        drawing.add(Line(x, low, x, high, strokeColor=PALE, strokeWidth=3))
        drawing.add(Circle(x, middle, 1.8, fillColor=colors.black, strokeColor=None))
        drawing.add(_text(x, high + 2, f"{one.value:.0f}"))
    return drawing


def _empty(run: Run, wide: float, says: str) -> Drawing:
    """The days along the foot, and what is drawn."""
    drawing = Drawing(wide, HIGH)
    drawing.add(Line(0, BASE, wide, BASE, strokeColor=colors.black, strokeWidth=0.8))
    room = wide / len(run.weeks)
    for at, week in enumerate(run.weeks):
        day = f"{week.monday.day}.{week.monday.month}."
        drawing.add(_text(room * (at + 0.5), BASE - 8, day, size=DAYS))
    drawing.add(_text(0, 3, says, anchor="start"))
    return drawing


def _text(x: float, y: float, text: str, *, anchor: str = "middle", size=LETTERS) -> String:
    return String(x, y, text, fontName=REGULAR, fontSize=size, textAnchor=anchor)
