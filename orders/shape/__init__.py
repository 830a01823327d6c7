"""A board's numbers and what is drawn from them. Pure: no Django, no clock, no files."""
