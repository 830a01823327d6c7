"""Compiles the floor that is played forward, before several processes would each do it at once.

It is kept on disk: a moment where nothing changed, half a minute in a new checkout.
"""

from stages.flow.simulation import Board, Hand, Stage, Step, simulate

if __name__ == "__main__":
    board, hand = Board(1, 1.0, (Step(0, 1.0),)), Hand({0: 1.0}, ((0.0, 1e6),))
    simulate([board], [hand], [Stage()], replications=1, seed=1)
