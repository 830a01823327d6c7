"""Which boxes can hold which fins. Keys are those of orders.specs.choices.

Common practice, no source: a long centre box takes one fin; slots and plugs stand in pairs at the
rails; fins without boxes are glassed on.
"""

_RAILS = ("twin", "twin_keel", "three_fin", "four_fin", "five_box")


def cannot_hold(fin_setup: str, box_kind: str) -> str:
    """Why these boxes cannot hold these fins, and what can; "" where they can."""
    if box_kind == "none" and fin_setup != "none":
        return "These fins need boxes: choose some, or glass them on."
    if box_kind == "glassed_on" and fin_setup == "five_box":
        return "Five boxes are for fins that change. Choose single-slot or two-plug boxes."
    if box_kind == "glassed_on" and fin_setup == "none":
        return "There are no fins to glass on. Choose no boxes, or the fins."
    if box_kind == "centre_box" and fin_setup in _RAILS:
        return "One long centre box holds one fin. Choose single-slot or two-plug boxes."
    if box_kind == "centre_box" and fin_setup == "two_plus_one":
        return "The two side fins need boxes too. Choose the long centre box and single-slots."
    return ""


def unusual_boxes(fin_setup: str, box_kind: str) -> str:
    """What to ask about boxes that can hold the fins but seldom do; "" where they often do."""
    if fin_setup == "none" and box_kind != "none" and not cannot_hold(fin_setup, box_kind):
        return "Boxes are ordered, and no fins: is that meant?"
    if fin_setup == "single" and box_kind in ("single_slot", "two_plug"):
        return "A single fin stands in a long centre box most often; another is ordered."
    if fin_setup == "single" and box_kind == "centre_and_slots":
        return "The slots stay empty with a single fin: is that meant?"
    if fin_setup == "two_plus_one" and box_kind in ("single_slot", "two_plug"):
        return "Two plus one has a long centre box most often; another is ordered."
    if fin_setup in _RAILS and box_kind == "centre_and_slots":
        return "A long centre box is ordered beside the slots: is that meant with these fins?"
    return ""
