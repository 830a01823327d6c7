"""Questions every floor asks, ready to press."""

import re
from datetime import timedelta
from urllib.parse import urlencode

from stages.whatif.ground import Ground

_GLASSING = re.compile(r"glass|lamin", re.IGNORECASE)  # a factory names its own stages


def presets(ground: Ground) -> list[tuple[str, str]]:
    """(words, the address's query) of each question this floor can be asked."""
    found = []
    for index, stage in enumerate(ground.stages):
        if not _GLASSING.search(stage.name) or stage.bay.outside or stage.retired_at:
            continue
        able = [n for n, hand in enumerate(ground.floor.crew) if index in hand.pace]
        if able:
            # Who can do the fewest other things is the glasser.
            member = ground.people[min(able, key=lambda n: len(ground.floor.crew[n].pace))]
            until = ground.today + timedelta(days=13)
            away = {"away_who": member.pk, "away_from": ground.today, "away_until": until}
            found.append((f"{member} is away for two weeks", urlencode(away)))
            more = {"hands_like": member.pk, "hands_stages": stage.pk}
            found.append((f"Another pair of hands for {stage.name}", urlencode(more)))
        break
    if ground.people:
        saturdays = {"hours_who": "all", "saturday": "8:00-12:00"}
        found.append(("Everyone on Saturday mornings", urlencode(saturdays)))
    found.append(("A fifth more orders", urlencode({"orders": 20})))
    standing = sum(not board.unreleased for board in ground.floor.boards)
    if standing:
        boards = "1 board" if standing == 1 else f"{standing} boards"
        found.append((f"No more than {boards} on the floor", urlencode({"cap": standing})))
    return found
