"""Cloth, resin, hardener and working time. Pure: no Django, no clock, no files."""
