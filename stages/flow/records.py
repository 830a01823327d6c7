"""The floor that is played forward, as records: one a board, step, hand, stage and shift.

What is known and what changes stand side by side in one: compiled functions pass few arrays. They
are small, for a processor keeps little at hand: most of the time of a large floor is waiting for
them. Boards come in the order of their rank: a board's place is its rank. `turn` is its place among
those to be let on, `in_turn` the board that has that place.
"""

import numpy as np

NEVER = np.inf

BOARD = np.dtype([
    ("key", np.int64), ("first", np.int32), ("last", np.int32), ("start", np.int32),
    ("step", np.int32), ("since", float), ("begun", float), ("drawn", float),
    ("holds", np.int32), ("hand", np.int32), ("unreleased", np.int64), ("free_at", float),
    ("held", float), ("likely", float), ("due", float), ("turn", np.int32), ("in_turn", np.int32),
])  # fmt: skip
STEP = np.dtype([
    ("stage", np.int32), ("spread", np.int32), ("back_to", np.int32), ("attempt", np.int32),
    ("minutes", float), ("cv", float), ("rest", float), ("back", float), ("hold", float),
    ("held", float),
])  # fmt: skip
HAND = np.dtype([
    ("absent", float), ("spell", float), ("away", np.int64), ("midnight", float),
    ("first", np.int64), ("last", np.int64), ("decided", np.int64), ("shift", np.int64),
    ("until", float), ("finishes", float), ("doing", np.int64), ("worked", float),
])  # fmt: skip
# Of a hand and a stage: `pace` is 0 where they cannot do it, `longest` the most minutes on end,
# `later` by how many minutes they put it off.
ABLE = np.dtype([("pace", float), ("longest", float), ("later", float)])
STAGE = np.dtype([
    ("places", np.int64), ("racks", np.int64), ("session", np.int64), ("together", float),
    ("outside", np.int64), ("whole", np.int64), ("over", float), ("doubt", float),
    ("first", np.int64), ("last", np.int64), ("factor", float), ("taken", np.int64),
    ("resting", np.int64), ("shift", np.int64), ("until", float), ("room", np.int64),
    ("bay_places", np.int64), ("bay_racks", np.int64), ("bay_taken", np.int64),
    ("bay_resting", np.int64),
])  # fmt: skip
SHIFT = np.dtype([("opens", float), ("closes", float), ("there", np.int64)])
# The limit, boards on the floor and still to be done, events, boards that wait for hands, whether
# orders are let on only `at_times`.
FLOOR = np.dtype([
    ("limit", np.int64), ("on_floor", np.int64), ("left", np.int64), ("events", np.int64),
    ("waiting", np.int64), ("at_times", np.int64),
])  # fmt: skip
EVENT = np.dtype([("at", float), ("what", np.int64)])
# A part of a queue (flow.queues): the first board in it, the least and the most minutes of any.
PART = np.dtype([("first", np.int64), ("least", float), ("most", float)])
