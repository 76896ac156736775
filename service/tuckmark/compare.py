"""Figures against limits: one that meets its limit meets it, whatever floats make of it.

12 in over 1/2 in is 24 diameters, although 304.8 / 12.7 comes out a hair above 24.
"""

from typing import Final

_NOISE: Final = 1e-9


def below(value: float, limit: float) -> bool:
    """Whether a figure is truly less than its limit."""
    return value < limit - _NOISE * abs(limit)


def above(value: float, limit: float) -> bool:
    """Whether a figure is truly more than its limit."""
    return value > limit + _NOISE * abs(limit)


def equal(one: float, other: float) -> bool:
    """Whether two figures are the same, whatever floats make of them."""
    return not below(one, other) and not above(one, other)


def within(least: float, value: float, most: float) -> bool:
    """Whether a figure lies between its limits, both included."""
    return not below(value, least) and not above(value, most)
