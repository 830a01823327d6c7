"""A mix as it was sent, judged by the server: kept as it happened, marked with what was wrong."""

from orders.glassing.judgement import UNREAD, Finding, judge
from orders.orderbook.models import Board
from orders.resins.models import ResinSystem
from orders.resins.reckoning import limits_for
from stages.mixing.judgement_wording import mark, sentence

# The guard that is passed when somebody says a second time that a mix is as they typed it.
GUARD = "dose"


def findings(payload: dict, *, board: int) -> list[Finding]:
    """What is wrong with a mix for this board, by its resin as it is entered now."""
    kind = Board.objects.values_list("spec__resin", flat=True).get(pk=board)
    named = ResinSystem.objects.filter(name=payload.get("resin", ""), kind=kind)
    system = named.first() or ResinSystem.usual(kind)
    return judge(
        limits_for(system),
        celsius=payload.get("temperature_c"),
        resin_g=payload.get("resin_g"),
        hardener_g=payload.get("hardener_g"),
    )


def marked(payload: dict, *, board: int) -> dict:
    """The payload with what the server found, as codes and figures."""
    found = findings(payload, board=board)
    told = [{"code": one.code, "figures": one.figures} for one in found]
    return {**payload, "judged": told} if told else payload


def sentences(found: list[Finding]) -> list[str]:
    return [sentence(one.code, one.figures) for one in found]


def may_be_said_again(found: list[Finding]) -> bool:
    """Nothing is confirmed that was not read."""
    return not any(one.code in UNREAD for one in found)


def marks_of(payload: dict) -> list[str]:
    """In short, for lists of what was mixed."""
    return [mark(one["code"], one["figures"]) for one in payload.get("judged", ())]


def was_confirmed(payload: dict) -> bool:
    return GUARD in payload.get("overrides", ())
