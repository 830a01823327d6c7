"""`manage.py test`: what runs, beside what, and what its last lines say.

`command` decides what to run, `parts` names the parts of a whole run, `processes` runs several at a
time and leaves nothing running, `chromium` and `postgresql` find what two of the parts need,
`quick` chooses the tests of a small change, `outcomes` reads pytest's report log, and `summary`
words it. Nothing here asserts a time.
"""
