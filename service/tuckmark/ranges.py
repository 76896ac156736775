"""How far uncertain inputs move a figure, and the 95 % range that follows.

An *input* is one fact that is assumed or measured only so well: the pitch, the
diameter, the bedding-in. Its range holds 95 %: one part in forty lies beyond
each end, and the nominal value is the median. The figure is computed, by the
plan's own formulas, with one input at each end of its range and all others at
their nominal values; what it moves by is the *effect* of that input. Effects of
different inputs are independent and add in quadrature, upward and downward each
by itself, since few of these formulas are straight lines. One input that acts in
several places, such as one pitch in two splices, is one input: its effects add
before they are squared.
"""

import math
from collections.abc import Iterable, Mapping
from typing import Final

#: input -> how far a figure moves with the input at the low end, and at the high end
Effects = Mapping[str, tuple[float, float]]

NO_EFFECTS: Final[Effects] = {}


def edges(nominal: float, effects: Effects) -> tuple[float, float]:
    """The 95 % range of a figure.

    Each input pushes the figure down at one of its ends and up at the other; where both push
    the same way, the other way counts nothing.
    """
    down = up = 0.0
    for at_low, at_high in effects.values():
        lowest, highest = (at_low, at_high) if at_low < at_high else (at_high, at_low)
        if lowest < 0:
            down += lowest * lowest
        if highest > 0:
            up += highest * highest
    return nominal - math.sqrt(down), nominal + math.sqrt(up)


def added(*parts: Effects) -> Effects:
    """Effects on a sum of figures, input by input."""
    total: dict[str, tuple[float, float]] = {}
    for part in parts:
        for name, (at_low, at_high) in part.items():
            low, high = total.get(name, (0.0, 0.0))
            total[name] = (low + at_low, high + at_high)
    return total


def scaled(effects: Effects, factor: float) -> Effects:
    """Effects on a multiple of a figure."""
    return {name: (factor * low, factor * high) for name, (low, high) in effects.items()}


def without(effects: Effects, inputs: Iterable[str]) -> Effects:
    """What is left when some inputs are known exactly."""
    known = set(inputs)
    return {name: moved for name, moved in effects.items() if name not in known}
