"""200 tickets against bare reportlab drawing the same strings, lines and QR codes.

What the ticket code asks of the canvas is written down once; the bare side then only repeats it:
the same strings at the same places, the same lines, and each code worked out and drawn anew.
"""

from io import BytesIO

from reportlab.lib.pagesizes import A5
from reportlab.pdfgen.canvas import Canvas

from orders.shape.figures import figures_of
from orders.shape.outline import BoardNumbers, outline_points
from orders.tickets import paper, qr
from orders.tickets.code import new_code
from orders.tickets.paper import TicketSheet, tickets_pdf
from tests.benchmarks.report import Check, in_turn, seconds

TICKETS = 200
MOST = 1.5


def sheets() -> list[TicketSheet]:
    made = []
    for number in range(TICKETS):
        shape = BoardNumbers(
            length_mm=1750 + 5 * number,
            width_mm=480 + number / 4,
            thickness_mm=62,
            tail_shape=("squash", "swallow", "rounded_pin")[number % 3],
        )
        code = new_code()
        made.append(
            TicketSheet(
                board_number=str(1200 + number),
                revision=1 + number % 3,
                code=code,
                address=f"HTTP://192.168.1.20:8000/T/{code}",
                factory_name="Gannet Rock Boards",
                customer=f"Rider {number}",
                promised="Thu 14 May",
                dims="6'2\" x 19 1/2 x 2 7/16",
                groups=[
                    ("Shaping", [("Tail", "Squash"), ("Rail", "Medium"), ("Bottom", "Vee")]),
                    ("Fin boxes", [("Fins", "Three-fin"), ("Boxes", "Single-slot")]),
                    (
                        "Glassing",
                        [("Resin", "Polyester"), ("Deck", "4 + 4 oz"), ("Bottom", "4 oz")],
                    ),
                    ("Sanding", [("Finish", "Sanded")]),
                ],
                odd=[f"Deck inlay, see art note {number}", "Pinline in grey, 6 mm"],
                outline=outline_points(shape),
                length_mm=shape.length_mm,
                width_mm=shape.width_mm,
                figures=figures_of(shape, fin_setup="three_fin"),
                steps=["Shaping", "Fin boxes", "Glassing", "Sanding", "Plug", "QC"],
                cautions=["Resin and catalyst: gloves, goggles, air. Read the data sheet."],
            )
        )
    return made


class _Recording(Canvas):
    """Writes down what is asked of it, but not what it asks of itself."""

    def __init__(self, *args, **kwargs):
        self.calls, self.depth = [], 1
        super().__init__(*args, **kwargs)
        self.depth = 0

    def __getattribute__(self, name):
        value = super().__getattribute__(name)
        if name.startswith("_") or name in {"calls", "depth"} or not callable(value):
            return value

        def called(*args, **kwargs):
            if self.depth == 0:
                self.calls.append((name, args, kwargs))
            self.depth += 1
            try:
                return value(*args, **kwargs)
            finally:
                self.depth -= 1

        return called


def recorded(sheet: TicketSheet) -> list:
    kept = []

    def canvas(*args, **kwargs):
        kept.append(_Recording(*args, **kwargs))
        return kept[0]

    paper.Canvas, original = canvas, paper.Canvas
    try:
        tickets_pdf([sheet])
    finally:
        paper.Canvas = original
    return [call for call in kept[0].calls if call[0] not in {"save", "setTitle"}]


def bare(pages: list, addresses: list[str]) -> bytes:
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=A5)
    for calls, address in zip(pages, addresses, strict=True):
        qr._path.cache_clear()
        code, _ = qr._path(address)
        for name, args, kwargs in calls:
            if name == "drawPath" and len(args[0]._code) == len(code._code) > 200:
                args = (code, *args[1:])
            getattr(canvas, name)(*args, **kwargs)
    canvas.save()
    return buffer.getvalue()


def measure() -> list[Check]:
    made = sheets()
    pages = [recorded(sheet) for sheet in made]
    addresses = [sheet.address for sheet in made]
    tickets_pdf(made[:5])  # fonts and imports are read once, on either side
    ours, theirs = in_turn(
        lambda: seconds(lambda: tickets_pdf(made)),
        lambda: seconds(lambda: bare(pages, addresses)),
        rounds=5,
    )
    return [
        Check(
            f"{TICKETS} tickets against bare reportlab",
            ours / theirs,
            MOST,
            f"{ours:.2f} s, bare {theirs:.2f} s",
        )
    ]
