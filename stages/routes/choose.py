"""Which steps of a route a spec asks for. Pure: keys in, yes or no out.

Common practice, no source beyond the trade's guides: three-fin slots are set before glassing, a
long centre box and round plugs after the filler coat, glassed-on fins have no boxes; gloss and
polish adds a stage.
"""

SLOT_KINDS = {"single_slot", "centre_and_slots"}
AFTER_FILLER_KINDS = {"two_plug", "centre_box", "centre_and_slots"}


def needed(when: str, *, box_kind: str, leash_plug: str, finish: str) -> bool:
    """Whether a step marked `when` is for a board with these choices."""
    return {
        "always": True,
        "slots": box_kind in SLOT_KINDS,
        "after_filler": box_kind in AFTER_FILLER_KINDS,
        "plug": leash_plug != "none",
        "gloss": finish == "gloss",
    }[when]
