"""How many rows a form of rows may have.

Django's own limit is 1000 more than it would show, and a made-up TOTAL_FORMS draws them all.
"""

AT_MOST = {"max_num": 200, "absolute_max": 200}
