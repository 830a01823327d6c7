"""How the functions that play the floor are compiled.

They count no references to arrays, which took as long as the rest of their work: so they make no
array and keep none, what they fill is handed to them. Each becomes a part of what calls it, for to
hand over a whole floor takes longer than most of them do. Only one another call them.
"""

from numba import njit

OPTIONS = {"_nrt": False, "error_model": "numpy"}

compiled = njit(forceinline=True, no_cpython_wrapper=True, no_cfunc_wrapper=True, **OPTIONS)
