"""How well slips are found in invented classes whose truth is known.

`python -m tests.exam` prints the figures; the tests assert them on smaller classes.
"""
