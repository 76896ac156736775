"""The range of a length in words, as fine as its width asks for."""

from typing import Final

from tuckmark.units import MM_PER_INCH
from tuckmark.writing import LengthText, decimal_text

#: a range narrower than so many printed steps is told in decimals
_NARROW_STEPS: Final = {True: 4, False: 2}  # by whether the steps are metric
#: how a plan's ranges are published
_RESOLUTION_MM: Final = 0.1
_MOST_MM: Final = 10_000.0  # written in metres beyond
#: half the width under which a range tells nobody who marks with a tape anything
_TELLING_MM: Final = 1.0


def span(write: LengthText, low_mm: float, high_mm: float) -> str:
    """``23.4 to 24.6 mm``, with the unit once where both have the same; empty without a width.

    Args:
        write: writes lengths in the plan's units.
        low_mm: as published.
        high_mm: as published.
    """
    width_mm = high_mm - low_mm
    if width_mm < _RESOLUTION_MM / 2:
        return ""
    if width_mm >= _NARROW_STEPS[write.metric] * write.step_mm or high_mm >= _MOST_MM:
        return _joined(write.write(low_mm), write.write(high_mm))
    if write.metric:
        return f"{low_mm:.1f} to {high_mm:.1f} mm"
    low, high = (decimal_text(mm / MM_PER_INCH, 2) for mm in (low_mm, high_mm))
    return "" if low == high else f"{low} to {high} in"


def span_on_tape(write: LengthText, low_mm: float, high_mm: float) -> str:
    """A range in whole printed steps; empty where it is too narrow to be seen on a tape."""
    if (high_mm - low_mm) / 2 < _TELLING_MM:
        return ""
    return _joined(write.write(low_mm), write.write(high_mm))


def _joined(low: str, high: str) -> str:
    if low == high:
        return ""
    number, _, unit = low.rpartition(" ")
    same = high.endswith(f" {unit}") and "ft" not in low + high
    return f"{number if same else low} to {high}"
