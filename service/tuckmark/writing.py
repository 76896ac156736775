"""Figures as they are published: one rounding rule, one way to write a length."""

import math
from decimal import ROUND_HALF_UP, Decimal
from typing import Final, Literal

from tuckmark.units import INCHES_PER_FOOT, KG_PER_POUND, MM_PER_INCH, conversion_of

#: of a printed step: above the noise of floats, far below what anyone can read
_NOISE: Final = 1e-6
#: of a step: further from a half than this, the decimal need not be looked at
_NEAR_HALF: Final = 1e-4
_MM_PLACES: Final = 1
_FINE_INCH_PLACES: Final = 3
_METRES_FROM_MM: Final = 10_000
_FEET_FROM_INCHES: Final = 120


def rounded_down(value: float, places: int) -> float:
    """As ``rounded``, but toward zero: for a most that must not be printed too large."""
    scale = 10.0**places
    return math.floor(value * scale + _NOISE) / scale


def rounded(value: float, places: int) -> float:
    """Half away from zero on the decimal, never ``-0.0``.

    The decimal is the float's shortest one after dropping float noise below 1e-9:
    2.675 rounds to 2.68 although the nearest double lies just under it.

    Raises:
        ValueError: the value is not finite: nothing non-finite may ever reach a plan.
    """
    scale = 10.0**places
    scaled = value * scale + 0.5
    steps = scaled // 1.0
    if _NEAR_HALF < scaled - steps < 1 - _NEAR_HALF:  # never of what is not finite
        return steps / scale
    if not math.isfinite(value):
        raise ValueError("a figure of the plan is not finite")
    decimal = Decimal(repr(round(value, 9)))
    return float(decimal.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)) + 0.0  # no -0.0


def steps_of(value_mm: float, step_mm: float) -> int:
    """How many whole steps a length is nearest to, half away from zero."""
    return int(rounded(value_mm / step_mm, 0))


class LengthText:
    """Writes lengths in one system, in whole steps, and splits totals into parts that add up.

    Args:
        units: ``metric`` or ``inch``.
        inch_fraction: the step is 1/inch_fraction inch (8, 16, 32 or 64); ignored for metric.
    """

    def __init__(self, units: Literal["metric", "inch"], inch_fraction: int = 16) -> None:
        self.metric = units == "metric"
        self._per_inch = inch_fraction
        self.step_mm = 1.0 if self.metric else MM_PER_INCH / inch_fraction

    def write(self, value_mm: float) -> str:
        """The text of a length, rounded to the step: ``"1067 mm"``, ``"42 1/2 in"``."""
        return self.of_steps(int(rounded(value_mm / self.step_mm, 0)))

    def write_up(self, value_mm: float) -> str:
        """As ``write``, rounded up: for a least length that must not be printed too short."""
        return self.of_steps(math.ceil(value_mm / self.step_mm - _NOISE))

    def write_down(self, value_mm: float) -> str:
        """As ``write``, rounded down: for a most that must not be printed too long."""
        return self.of_steps(math.floor(value_mm / self.step_mm + _NOISE))

    def reads_less(self, value_mm: float, least_mm: float) -> bool:
        """Whether a length is short of a least one as it is printed, in mm and in text.

        Whoever makes a piece to the printed figure, or types it back, keeps the rule that it was
        printed for, although rounding may have taken half a step off it.
        """
        if value_mm >= least_mm:
            return False
        return rounded(min(least_mm, self.as_read(least_mm)) - value_mm, _MM_PLACES) > 0

    def as_read(self, value_mm: float) -> float:
        """The length that its text says."""
        return steps_of(value_mm, self.step_mm) * self.step_mm

    def write_finely(self, value_mm: float) -> str:
        """As ``write``, to a tenth of a millimetre or a thousandth of an inch."""
        if self.metric:
            return f"{decimal_text(value_mm, _MM_PLACES)} mm"
        return f"{decimal_text(value_mm / MM_PER_INCH, _FINE_INCH_PLACES)} in"

    def of_steps(self, steps: int) -> str:
        """The text of a whole number of steps."""
        if steps < 0:
            return "-" + self.of_steps(-steps)
        if not self.metric:
            return self._inch_text(steps)
        if steps < _METRES_FROM_MM:
            return f"{steps} mm"
        return f"{steps // 1000}.{steps % 1000:03d} m"

    def _inch_text(self, steps: int) -> str:
        whole, part = divmod(steps, self._per_inch)
        if whole < _FEET_FROM_INCHES:
            return f"{self._inches(whole, part)} in"
        feet, inches = divmod(whole, INCHES_PER_FOOT)
        return f"{feet} ft {self._inches(inches, part)} in"

    def _inches(self, whole: int, part: int) -> str:
        """Whole inches and steps beyond them: ``42 1/2``."""
        if not part:
            return f"{whole}"
        common = math.gcd(part, self._per_inch)
        fraction = f"{part // common}/{self._per_inch // common}"
        return f"{whole} {fraction}" if whole else fraction


def shared_out(total: int, parts: list[float]) -> list[int]:
    """Whole steps for each part by largest remainder, so that they add up to the total.

    Args:
        total: the rounded total, in steps.
        parts: the unrounded parts, in steps; they sum to the unrounded total.

    Returns:
        One whole number a part; ties go to the earlier part.
    """
    floors = [math.floor(part + _NOISE) for part in parts]
    missing = total - sum(floors)
    by_remainder = sorted(range(len(parts)), key=lambda i: (floors[i] - parts[i], i))
    for i in by_remainder[:missing]:
        floors[i] += 1
    return floors


def decimal_text(value: float, places: int) -> str:
    """A rounded decimal without trailing zeros or exponent: ``"43.2"``."""
    text = f"{rounded(value, places):.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def force_text(force_kn: float, metric: bool) -> str:
    """``"480 kN"`` to 0.01 kN, or whole pounds-force."""
    if metric:
        return f"{decimal_text(force_kn, 2)} kN"
    return f"{decimal_text(conversion_of('lbf').back(force_kn), 0)} lbf"


def mass_text(mass_kg: float, metric: bool) -> str:
    """``"6.56 kg"`` to 0.01 kg, or to 0.01 lb."""
    if metric:
        return f"{decimal_text(mass_kg, 2)} kg"
    return f"{decimal_text(mass_kg / KG_PER_POUND, 2)} lb"


def temperature_text(temperature_c: float, metric: bool) -> str:
    """``"65 degC"`` to 0.1, or degrees Fahrenheit."""
    if metric:
        return f"{decimal_text(temperature_c, 1)} degC"
    return f"{decimal_text(conversion_of('degF').back(temperature_c), 1)} degF"
