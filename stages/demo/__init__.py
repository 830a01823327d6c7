"""An invented factory with a past, for looking around: Gannet Rock Boards in Skarvika.

`simulate` plays its floor forward, pure; `load` writes what came of it. The same seed and the same
`now` give the same rows.
"""
