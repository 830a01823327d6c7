"""A maximum flow by shortest augmenting paths (Edmonds and Karp 1972), for small networks.

Capacities are exact numbers (int or Fraction): a full pipe is full, not nearly full.
"""

from collections import defaultdict, deque
from collections.abc import Hashable
from fractions import Fraction

Amount = int | Fraction


class Network:
    """Pipes from a source to a sink; `room` is what each can still carry, backwards too."""

    def __init__(self, *, source: Hashable, sink: Hashable):
        self.source, self.sink = source, sink
        self.room: dict[Hashable, dict[Hashable, Amount]] = defaultdict(dict)
        self.size: dict[tuple[Hashable, Hashable], Amount] = {}

    def add(self, start: Hashable, end: Hashable, capacity: Amount) -> None:
        """Lay one pipe; between two nodes there is at most one."""
        self.size[start, end] = capacity
        self.room[start][end] = capacity
        self.room[end].setdefault(start, 0)

    def maximum_flow(self) -> Amount:
        """Push all the flow there is room for and return how much reached the sink."""
        total = 0
        while path := self._path():
            amount = min(self.room[a][b] for a, b in path)
            for a, b in path:
                self.room[a][b] -= amount
                self.room[b][a] += amount
            total += amount
        return total

    def flows_from(self, start: Hashable) -> dict[Hashable, Amount]:
        """What each pipe out of a node carries, those that carry anything."""
        carried = {
            end: size - self.room[start][end]
            for (begin, end), size in self.size.items()
            if begin == start
        }
        return {end: amount for end, amount in carried.items() if amount > 0}

    def reached_from_source(self, node: Hashable) -> bool:
        """Whether more could still be pushed from the source as far as this node."""
        return node in self._search(self.source)

    def reaches_sink(self, node: Hashable) -> bool:
        """Whether more could still be pushed from this node to the sink."""
        return self.sink in self._search(node)

    def _search(self, start: Hashable) -> dict[Hashable, Hashable | None]:
        """Every node reached through pipes with room, and the node it was reached from."""
        came_from: dict[Hashable, Hashable | None] = {start: None}
        queue = deque([start])
        while queue:
            node = queue.popleft()
            for following, room in self.room[node].items():
                if room > 0 and following not in came_from:
                    came_from[following] = node
                    queue.append(following)
        return came_from

    def _path(self) -> list[tuple[Hashable, Hashable]]:
        came_from = self._search(self.source)
        if self.sink not in came_from:
            return []
        path, node = [], self.sink
        while (before := came_from[node]) is not None:
            path.append((before, node))
            node = before
        return path
