"""From a manifest to the words of its paper."""

from datetime import date

from orders.factory.models import Factory
from orders.templatetags.trade import dims_of
from stages.outside.code import scan_address
from stages.outside.models import Manifest
from stages.outside.paper import ManifestSheet, PaperLine
from stages.outside.queries import Line, lines_of
from stages.scan.cards import card
from stages.scan.oddities import odd_about

_FIRST = ("Deck", "Bottom", "Resin", "Colour", "Finish")


def sheet_of(manifest: Manifest, *, factory: Factory, today: date) -> ManifestSheet:
    """A customer is named only where it is a label: the shop needs that, and nothing of a rider."""
    lines = lines_of(manifest, today=today)
    return ManifestSheet(
        number=str(manifest.number),
        code=manifest.code,
        address=scan_address(manifest.code),
        from_name=factory.name,
        from_place="\n".join(factory.address_lines),
        to_name=manifest.bay.name,
        to_address=manifest.bay.address,
        made=_paper_day(manifest.made_at.astimezone(factory.zone)),
        made_by=manifest.made_by.name,
        due=_paper_day(manifest.due_on),
        note=manifest.note,
        lines=[_paper_line(line) for line in lines],
    )


def _paper_line(line: Line) -> PaperLine:
    spec = line.board.spec
    # What two of the steps read is said once.
    rows = {row.label: row.value for step in line.steps for row in card(spec, step.name)}
    rows = {label: rows[label] for label in _FIRST if label in rows}
    return PaperLine(
        number=str(line.board.number),
        dims=f"{dims_of(spec)} {spec.get_tail_shape_display().lower()}",
        label=line.board.order.customer.label,
        steps=", ".join(step.name for step in line.steps) or "nothing more: see the board",
        rows=[f"{label} {value}" for label, value in rows.items()],
        odd=[f"{odd.title}: {odd.text}" for odd in odd_about(spec)],
    )


def _paper_day(value) -> str:
    return f"{value:%a} {value.day} {value:%b %Y}"
